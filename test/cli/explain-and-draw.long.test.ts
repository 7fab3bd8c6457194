import { execFile } from "node:child_process";
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { afterAll, describe, expect, it } from "vitest";

const MAIN = resolve(import.meta.dirname, "../../dist/cli/main.js");
const DEMO = resolve(import.meta.dirname, "../../data/alcove-screen");
const folder = mkdtempSync(join(tmpdir(), "sukima-learning-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function sukima(...args: string[]): Promise<{ code: number; stdout: string; stderr: string }> {
  try {
    return { code: 0, ...(await promisify(execFile)(process.execPath, [MAIN, ...args])) };
  } catch (error) {
    return error as { code: number; stdout: string; stderr: string };
  }
}

describe("sukima explain", () => {
  it("says what is likely, what would tell, and what to take care of", async () => {
    const { code, stdout } = await sukima("explain", DEMO);
    expect(code).toBe(0);
    expect(stdout).toMatch(/What closing cell .+ takes: /);
    expect(stdout).toContain("Unplug a machine");
  });

  it("gives numbers that add up, and drawings, on request", async () => {
    const out = join(folder, "causes");
    const { stdout } = await sukima("explain", DEMO, "--json", "--out", out);
    type Joint = { gap: { mean: number }; asDrawn: number; contributions: { mean: number }[] };
    const { cells } = JSON.parse(stdout) as { cells: { joints: Joint[] }[] };
    for (const { gap, asDrawn, contributions } of cells.flatMap(({ joints }) => joints))
      expect(contributions.reduce((sum, { mean }) => sum + mean, asDrawn)).toBeCloseTo(gap.mean, 9);
    expect(readdirSync(out)).toContain("cause-1.svg");
    expect(readFileSync(join(out, "cause-1.svg"), "utf8")).toMatch(
      /<title>The [^<]+: what this does alone<\/title>/,
    );
  });

  it("takes what an eye saw, and refuses what it does not understand", async () => {
    const saw = ["--saw", "hinge-1 mitre heel open", "--saw", "diagonal.end-left toe closed"];
    expect((await sukima("explain", DEMO, ...saw)).stdout).toContain(
      "Based on 60 readings of 10 trial pieces",
    );
    const { code, stderr } = await sukima("explain", DEMO, "--saw", "hinge-1 gaping");
    expect(code).toBe(1);
    expect(stderr).toContain("What was seen is not clear");
  });

  it("says what it needs when no cell was read", async () => {
    const bare = join(folder, "bare");
    cpSync(DEMO, bare, { recursive: true });
    const [heading, ...rows] = readFileSync(join(DEMO, "trials.csv"), "utf8").split("\n");
    const left = rows.filter((row) => !row.includes(",cell,"));
    writeFileSync(join(bare, "trials.csv"), [heading, ...left].join("\n"));
    const { code, stderr } = await sukima("explain", bare);
    expect(code).toBe(1);
    expect(stderr).toContain("an explanation needs gaps read in an assembled cell");
    // The row that it proposes is one that does.
    const [row] = stderr.match(/^ +r1,.*$/m) ?? [];
    writeFileSync(join(bare, "trials.csv"), [heading, row!.trim(), ""].join("\n"));
    expect((await sukima("explain", bare)).stdout).toContain("Based on ");
    const forced = await sukima("explain", bare, "--saw", "diagonal.start-left toe tight");
    expect(forced.stdout).toContain("2 readings of 1 trial piece");
  });
});

describe("sukima draw", () => {
  it("draws the plan, the cells to come and what their spread comes from", async () => {
    for (const [name, says] of [
      ["plan", "now "],
      ["spread", "cells to come: "],
      ["budget", "stop of diagonal-end "],
    ] as const) {
      const file = join(folder, `${name}.svg`);
      const { stdout } = await sukima("draw", name, "--job", DEMO, "--out", file);
      expect(stdout).toContain(says);
      expect(readFileSync(file, "utf8")).toMatch(/<title>[^<]+<\/title><desc>[^<]+<\/desc>/);
    }
  }, 300_000);
});
