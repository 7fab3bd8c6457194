import { execFile } from "node:child_process";
import { resolve } from "node:path";
import { promisify } from "node:util";
import { describe, expect, it } from "vitest";
import { withSlip } from "./calculators.js";
import type { FuzzReport } from "./run-fuzz.js";

const MAIN = resolve(import.meta.dirname, "../../../dist-checks/test/checks/fuzz/main.js");

async function report(what: string, count: number): Promise<FuzzReport> {
  const args = [MAIN, "--what", what, "--count", String(count), "--json"];
  const { stdout } = await promisify(execFile)(process.execPath, args, { maxBuffer: 1e8 }).catch(
    (error: { stdout: string }) => error,
  );
  return JSON.parse(stdout) as FuzzReport;
}

describe("a slip in one number", () => {
  it.each([
    ["remedies", 320],
    ["calculators", 45],
    ["calibrations", 20],
  ] as const)(
    "behind the readers ends in an answer of numbers or in a sentence: %s, %i times",
    {
      timeout: 1_200_000,
    },
    async (what, count) => {
      const { findings, counts } = await report(what, count);
      expect(findings.map(({ subject, index, what }) => `${subject} ${index}: ${what}`)).toEqual([]);
      for (const kind of ["accepted", "refused"] as const) {
        const sum = counts.reduce((all, one) => all + one[kind], 0);
        expect(sum, kind).toBeGreaterThan(0);
      }
    },
  );

  it("is in one number, and in a table in the column that is meant", () => {
    const table = "id,value,unit\na1,45.6,deg\na2,0.5,deg\n";
    const drawn = Array.from({ length: 200 }, (_, pick) => withSlip(table, pick, ["value"]));
    for (const text of drawn) {
      const cells = text.split("\n").map((line) => line.split(",")[0]);
      expect(cells).toEqual(["id", "a1", "a2", ""]);
    }
    expect(drawn).toContain("id,value,unit\na1,456,deg\na2,0.5,deg\n");
    expect(drawn).toContain("id,value,unit\na1,45.6,deg\na2,0.05,deg\n");
    expect(new Set(drawn).size).toBeGreaterThan(20);
  });
});
