import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { fairMystery, hiddenFaults, mysteryOf } from "../../../src/features/mystery/make-mystery.js";
import { markAnswer } from "../../../src/features/mystery/mark-answer.js";
import { whyLines } from "../../../src/features/mystery/mark-mystery.js";
import { MYSTERY_LEVELS, readMysteryCode } from "../../../src/features/mystery/mystery-job.js";
import { mysteryCommand } from "../../../src/features/mystery/mystery-report.js";
import { missShares } from "../../../src/features/mystery/why-missed.js";
import { sameSource } from "../../../src/model/source-id.js";
import { sourceText } from "../../../src/render/source-text.js";

const root = mkdtempSync(join(tmpdir(), "sukima-class-"));
afterAll(() => rmSync(root, { recursive: true, force: true }));

describe.each(MYSTERY_LEVELS)("a mystery of the level %s", (level) => {
  it("is solved by its own readings: every fault is found, the right way and with its size", () => {
    const { key, estimates } = fairMystery({ seed: 7, faults: 2, level });
    const truth = hiddenFaults(key);
    expect(truth).toHaveLength(2);
    const told = estimates.filter(({ interval: [low, high] }) => low > 0 || high < 0);
    const answer = told
      .filter(({ id }) => truth.some(({ source }) => sameSource(source, id)))
      .map(({ id, estimate }) => ({ source: id, size: estimate }));
    const { points, of } = markAnswer(estimates, truth, answer);
    expect([points, of]).toEqual([4, 4]);
  });
});

describe("a class", () => {
  const out = join(root, "class");
  const students = join(out, "students");

  it("is made as one folder, with sheets for the students and the answers apart", () => {
    const said = mysteryCommand({ seed: 3, faults: 1, level: "rulers", units: "in", count: 2, out });
    expect(said).toContain("A class of 2 mysteries");
    expect(readdirSync(out).sort()).toEqual(["students", "teacher"]);
    expect(readdirSync(students).sort()).toEqual(["mystery-3", "mystery-4", "sheets.html"]);
    expect(readdirSync(root).filter((name) => name.startsWith("."))).toEqual([]);
    const answers = readFileSync(join(out, "teacher/answers.csv"), "utf8");
    expect(answers.trim().split("\n")).toHaveLength(3);
    const sheets = readFileSync(join(students, "sheets.html"), "utf8");
    expect(sheets.match(/<article>/g)).toHaveLength(2);
    for (const row of answers.trim().split("\n").slice(1)) {
      const [, , size = "?"] = row.split(",");
      expect(sheets).not.toContain(size);
    }
    expect(() => mysteryCommand({ seed: 3, faults: 1, level: "rulers", count: 2, out })).toThrow(
      "is there already",
    );
  });

  it("is marked in one table, with the names and those who have not answered", () => {
    expect(() => mysteryCommand({ mark: out, faults: 1 })).toThrow("has an answer yet");
    const folder = join(students, "mystery-4");
    const code = readFileSync(join(folder, "mystery.txt"), "utf8").split("\n")[0] ?? "";
    const [fault] = hiddenFaults({ ...readMysteryCode(code), units: "in" });
    if (!fault) throw new Error("a mystery has a fault");
    const size = fault.source.kind === "ramp" ? `${(fault.size * 180) / Math.PI} deg` : `${fault.size} mm`;
    writeFileSync(
      join(folder, "answer.yaml"),
      `name: Ada\nanswer:\n  - { cause: ${sourceText(fault.source)}, size: ${size} }\n`,
    );
    const table = mysteryCommand({ mark: out, faults: 1 });
    expect(table).toContain("1 of 2 mysteries answered; 2 of 2 points.");
    expect(table).toMatch(/4\s+Ada\s+2\s+2\s+\S.*: found/);
    expect(table).toMatch(/3\s+no answer yet/);
    const json = JSON.parse(mysteryCommand({ mark: out, faults: 1, json: true }));
    expect(
      json.map(({ mystery, answered }: { mystery: number; answered: boolean }) => [mystery, answered]),
    ).toEqual([
      [3, false],
      [4, true],
    ]);
    expect(mysteryCommand({ mark: folder, faults: 1 })).toContain("2 of 2 points");
  });
});

describe("a mystery with a budget", () => {
  it("sells readings until the budget is spent, and counts what was not read", () => {
    const out = join(root, "budget");
    const trials = (): number => readFileSync(join(out, "trials.csv"), "utf8").trim().split("\n").length - 1;
    mysteryCommand({ seed: 7, faults: 1, level: "budget", out });
    expect(existsSync(join(out, "menu.csv"))).toBe(true);
    expect(trials()).toBe(0);
    const buy = (readings: string): string => mysteryCommand({ buy: out, readings, faults: 1 });
    expect(buy("m01, m02")).toContain("2 readings bought for 3 points");
    expect(trials()).toBe(2);
    expect(() => buy("m01")).toThrow("bought already");
    expect(() => buy("m99")).toThrow("There is no reading");
    expect(() =>
      buy(Array.from({ length: 12 }, (_, k) => `m${k + 3}`.replace(/m(\d)$/, "m0$1")).join()),
    ).not.toThrow();
    expect(() => buy("m51,m52,m53,m54,m55,m56,m57,m58")).toThrow("buy fewer");
    expect(mysteryCommand({ mark: out, giveUp: true, faults: 1 })).toContain("of 2 points");
  });
});

describe("what is said of an interval that misses the truth", () => {
  it("names the largest share and what would mend it, and nobody's luck", () => {
    const miss = {
      source: { kind: "stop", of: "key-end" } as const,
      truth: -0.24,
      estimate: -0.2,
      before: 0.004,
      pieces: 0.03,
      instruments: 0.006,
    };
    const text = whyLines(miss, { units: "mm" }).join(" ").replaceAll(/\s+/g, " ");
    expect(text).toContain("Stop of key-end: the interval misses the truth");
    expect(text).toMatch(/\+0\.030 mm comes from the pieces that were read/);
    expect(text).toContain("More pieces would even that out");
    expect(text).not.toMatch(/luck|chance/);
  });
});

describe("why an interval misses the truth", () => {
  it("adds up to the whole difference, with nothing from pieces or instruments that are perfect", () => {
    const mystery = mysteryOf({ seed: 7, faults: 2, level: "rulers" });
    const { job, readings } = mystery;
    const fault = hiddenFaults(mystery.key)[0];
    if (!fault) throw new Error("a mystery has a fault");
    const estimates = [{ id: fault.source, estimate: fault.size * 1.5 }] as never;
    const [one] = missShares(mystery, readings, estimates, [fault.source]);
    if (!one) throw new Error("one was asked for");
    expect(one.before + one.pieces + one.instruments).toBeCloseTo(0.5 * fault.size, 12);
    const quiet = { ...job, instruments: job.instruments.map((tool) => ({ ...tool, repeatability: 1e-9 })) };
    const [same] = missShares({ ...mystery, job: quiet }, readings, estimates, [fault.source]);
    expect(same?.truth).toBe(fault.size);
  });
});
