import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { calibrateCommand } from "../../src/features/calibrate/calibration-report.js";
import { predictCommand } from "../../src/features/predict/prediction-report.js";
import { cautionLines } from "../../src/render/cautions.js";

const silent = (): void => {};
const DATA = resolve(import.meta.dirname, "../../data");
const CARE = cautionLines().join("\n");

// inches.long.test.ts asks the same of every command on a shop in inches.
describe.each(["alcove-screen", "leaning-ramp"])("on the shipped job %s", (name) => {
  const job = resolve(DATA, name);
  it.each([
    ["calibrate", () => calibrateCommand(job, { seed: 1 }, silent)],
    ["predict", () => predictCommand(job, {})],
    ["predict --lengths fitted", () => predictCommand(job, { lengths: "fitted" })],
  ] as const)("sukima %s answers in at most fifteen lines, then has the cautions", (_, run) => {
    const [answer = "", after] = run().split(CARE);
    expect(after).toBeDefined();
    expect(answer.trim().split("\n").length, answer).toBeLessThanOrEqual(15);
    expect(Math.max(...answer.split("\n").map((line) => [...line].length))).toBeLessThanOrEqual(96);
  });
});
