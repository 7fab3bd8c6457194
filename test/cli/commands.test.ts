import { execFile } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { afterAll, describe, expect, it } from "vitest";
import { longIt } from "../tools/longer.js";

const MAIN = resolve(import.meta.dirname, "../../dist/cli/main.js");
const DEMO = resolve(import.meta.dirname, "../../data/alcove-screen");
const folder = mkdtempSync(join(tmpdir(), "sukima-cli-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

interface Ran {
  readonly code: number;
  readonly stdout: string;
  readonly stderr: string;
}

async function sukima(...args: string[]): Promise<Ran> {
  try {
    return { code: 0, ...(await promisify(execFile)(process.execPath, [MAIN, ...args])) };
  } catch (error) {
    const { code, stdout, stderr } = error as Ran;
    return { code, stdout, stderr };
  }
}

function jobFile(name: string, text: string): string {
  const file = join(folder, name);
  writeFileSync(file, text);
  return file;
}

const BLUNT = `pattern: asanoha-square
opening: 60
strip: 3
as-cut:
  pieces:
    hinge-1: { cuts: { start-left: { angle: -0.5 }, start-right: { angle: -0.5 } } }
`;

describe("sukima predict", () => {
  it("prints the gaps of a cell as data", async () => {
    const { code, stdout } = await sukima("predict", jobFile("blunt.yaml", BLUNT), "--json");
    const answer = JSON.parse(stdout);
    expect(code).toBe(0);
    expect(Object.keys(answer)).toEqual([
      "probes",
      "widestGap",
      "deepestPress",
      "order",
      "firstOrderDifference",
    ]);
    expect(answer.probes).toHaveLength(44);
    expect(answer.order).toBe("exact");
    expect(answer.widestGap).toBe(Math.max(...answer.probes.map(({ gap }: { gap: number }) => gap)));
  });

  it("prints a table with the worst joint first, and what to set the stops to", async () => {
    const { stdout: short } = await sukima("predict", jobFile("blunt.yaml", BLUNT));
    expect(short.split("TAKE CARE")[0]!.trim().split("\n").length).toBeLessThanOrEqual(15);
    expect(short).toMatch(/(?:THE CELL CLOSES|THE CELL GAPS.*|NO GAP.*): widest gap/);
    const { stdout } = await sukima("predict", jobFile("blunt.yaml", BLUNT), "--details");
    const joints = stdout
      .split("EVERY JOINT")[1]!
      .split("\n")
      .filter((line) => /\d mm {2}(open|pressed|closed)$/.test(line));
    const sizes = joints.map((line) => Number(/([\d.]+) mm/.exec(line)![1]));
    expect(sizes).toHaveLength(44);
    expect(sizes).toEqual([...sizes].sort((a, b) => b - a));
    expect(stdout).toMatch(/hinge +4 +44\.11 mm/);
    expect(stdout).toMatch(/hinge\.seat +22\.50° +43\.92 mm/);
  });

  it("fits the pieces by trial where the job or the command line says so, and tells what comes off each", async () => {
    const long = `${BLUNT}    diagonal: { cuts: { end-left: { axial: 0.3 }, end-right: { axial: 0.3 } } }\n`;
    const file = jobFile("fitted.yaml", `${long}lengths: fitted\n`);
    const fitted = await sukima("predict", file, "--details");
    // 0.3 mm too long, and 2√2 of the snug limit more than nominal is what fits.
    expect(fitted.stdout).toMatch(/diagonal +−0\.243 mm +0\.020 mm +comes off/);
    expect(fitted.stdout).toMatch(/key-1 +\+0\.\d+ mm +0\.020 mm +would have to be longer/);
    expect(fitted.stdout).toMatch(/THE CELL CLOSES/);
    expect(fitted.stdout).toMatch(/Unplug a machine/);
    const asCut = await sukima("predict", file, "--lengths", "as-cut", "--details");
    expect(asCut.stdout).toMatch(/TOO TIGHT TO\sGO IN/);
    expect(asCut.stdout).not.toMatch(/comes off/);
    const data = JSON.parse((await sukima("predict", file, "--json")).stdout);
    expect(data.fitted.map(({ press }: { press: number }) => press.toFixed(9))).toEqual(
      new Array(5).fill("0.020000000"),
    );
    expect((await sukima("predict", file, "--lengths", "loose")).code).toBe(2);
  });

  it("answers in inches to a job in inches", async () => {
    const file = jobFile(
      "inch.yaml",
      "units: in\npattern: asanoha-square\nopening: 2 3/8 in\nstrip: 1/8 in\n",
    );
    const { stdout, code } = await sukima("predict", file);
    expect(code).toBe(0);
    expect(stdout).toMatch(/thou/);
    expect(stdout).not.toMatch(/ mm/);
  });

  it.each([
    ["strip: 25", /too thick/],
    ["strip: -3", /negative/],
    ["strip: 3 deg", /strip/i],
  ])("refuses %s with a sentence and exit code 1", async (strip, sentence) => {
    const { code, stderr, stdout } = await sukima(
      "predict",
      jobFile("bad.yaml", `pattern: asanoha-square\nopening: 60\n${strip}\n`),
    );
    expect(code).toBe(1);
    expect(stdout).toBe("");
    expect(stderr).toMatch(sentence);
    expect(stderr).toMatch(/bad\.yaml, line 3/);
    expect(stderr).not.toMatch(/\n\s+at /);
  });

  it("refuses errors under which faces no longer meet", async () => {
    const wild = BLUNT.replaceAll("-0.5", "-0.5, axial: -15");
    const { code, stderr } = await sukima("predict", jobFile("wild.yaml", wild));
    expect(code).toBe(1);
    expect(stderr).toMatch(/errors are too large/);
  });
});

describe("sukima calibrate", () => {
  longIt(
    "says what to move, as text and as data",
    async () => {
      const [text, data, { stdout: short }] = await Promise.all([
        sukima("calibrate", DEMO, "--details"),
        sukima("calibrate", DEMO, "--json"),
        sukima("calibrate", DEMO),
      ]);
      const answer = short.split("TAKE CARE")[0]!;
      expect(answer.trim().split("\n").length).toBeLessThanOrEqual(15);
      // Every move that is written down for the next round stands in the answer.
      const next = short.slice(short.indexOf("rounds:"));
      const moved = [...next.matchAll(/([a-z0-9-]+): \{ (?:by|shim)/g)].map((match) => match[1]!);
      expect(moved.length).toBeGreaterThan(0);
      for (const name of moved) expect(answer).toContain(name);
      expect(short).toMatch(/WHAT TO DO[\s\S]*WHAT TO EXPECT OF A CELL[\s\S]*TAKE CARE/);
      expect(text.code).toBe(0);
      expect(text.stdout).toMatch(/SET-UP CARD/);
      expect(text.stdout).toMatch(/Unplug a machine/);
      expect(text.stdout).toMatch(/ADJUST/);
      const { sources, moves, correlations } = JSON.parse(data.stdout);
      expect(sources).toHaveLength(8);
      expect(correlations).toHaveLength(8);
      for (const { change, verdict } of moves) expect(change !== 0).toBe(verdict === "adjust");
    },
    180_000,
  );
});

describe("a wrong command line", () => {
  it("ends with code 2 and says what there is", async () => {
    const { code, stderr } = await sukima("predcit", "x");
    expect(code).toBe(2);
    expect(stderr).toMatch(/predict/);
  });

  it("names a file that is not there", async () => {
    const { code, stderr } = await sukima("predict", join(folder, "nothing.yaml"));
    expect(code).toBe(1);
    expect(stderr).toMatch(/nothing\.yaml/);
  });
});
