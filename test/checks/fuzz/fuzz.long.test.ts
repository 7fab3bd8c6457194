import { execFile } from "node:child_process";
import { resolve } from "node:path";
import { promisify } from "node:util";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { JobError, type JobFault } from "../../../src/io/faults.js";
import { FULL } from "../../io/good-job.js";
import { applyEdits, edits } from "./edits.js";
import { type FuzzReport, judgeRefusal } from "./run-fuzz.js";

const MAIN = resolve(import.meta.dirname, "../../../dist-checks/test/checks/fuzz/main.js");

describe("2,000 spoilt files and texts", () => {
  it("are each accepted or refused in a message that names file and place", {
    timeout: 180_000,
  }, async () => {
    const { stdout } = await promisify(execFile)(process.execPath, [MAIN, "--count", "2000", "--json"]).catch(
      (error: { stdout: string }) => error,
    );
    const report = JSON.parse(stdout) as FuzzReport;
    expect(report.findings.map(({ subject, index, what }) => `${subject} ${index}: ${what}`)).toEqual([]);
    expect(report.counts).toHaveLength(12);
    for (const { subject, accepted, refused, shapes } of report.counts) {
      expect(accepted + refused, subject).toBeGreaterThan(160);
      // Both ways out are taken, and the refusals come from many places.
      expect(Math.min(accepted, refused), subject).toBeGreaterThan(3);
      expect(shapes.length, subject).toBeGreaterThan(4);
    }
  });
});

describe("the judge of refusals", () => {
  const fault = (more: Partial<JobFault> = {}): JobFault => ({
    file: "/x/job.yaml",
    line: 2,
    column: 1,
    field: "strip",
    sentence: "Strip: it is wrong; be right.",
    example: "strip: 3 mm",
    ...more,
  });

  it("passes a good one", () => {
    expect(judgeRefusal(new JobError([fault()]), "job.yaml", 5)).toBeNull();
  });

  it.each([
    ["our own fault", new TypeError("x is undefined"), /^TypeError/],
    ["no error at all", "x", /^thrown/],
    ["another file", new JobError([fault({ file: "/x/other.yaml" })]), /does not name job\.yaml/],
    ["a line that there is not", new JobError([fault({ line: 9 })]), /line 9 of 5/],
    ["no sentence", new JobError([fault({ sentence: "Invalid input" })]), /no sentence/],
  ])("fails %s", (_, error, says) => {
    expect(judgeRefusal(error, "job.yaml", 5)).toMatch(says);
  });
});

describe("edits", () => {
  it("of the same seed are the same, and most change the text", () => {
    const draw = () =>
      fc.sample(edits, { seed: 7, numRuns: 300 }).map((one) => Buffer.from(applyEdits(FULL, one)));
    const once = draw();
    const again = draw();
    expect(once.every((bytes, i) => bytes.equals(again[i]!))).toBe(true);
    expect(once.filter((bytes) => bytes.toString() !== FULL).length).toBeGreaterThan(270);
    expect(new Set(once.map(String)).size).toBeGreaterThan(240);
  });
});
