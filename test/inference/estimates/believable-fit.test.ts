import { describe, expect, it } from "vitest";
import { UserError } from "../../../src/core/errors.js";
import { calibrateJob } from "../../../src/inference/calibrate-job.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Reading } from "../../../src/model/readings.js";
import { longIt } from "../../tools/longer.js";
import { demoJob, demoReadings } from "../demo.js";

const DEGREE = Math.PI / 180;
const INCH = 25.4;

/** The demonstration's readings with the value of one changed. */
const withSlip = (id: string, change: (value: number) => number): Reading[] =>
  demoReadings.map((reading) =>
    reading.id === id && reading.value !== null ? { ...reading, value: change(reading.value) } : reading,
  );

const refusal = (job: Job, readings: readonly Reading[]): string => {
  try {
    calibrateJob(job, readings, { draws: 50 });
  } catch (error) {
    if (error instanceof UserError && error.code === "command") return error.message;
    throw error;
  }
  return "";
};

describe("readings that no shop can have given, made in memory past the readers", () => {
  it("are named, and nothing is advised: a single diagonal in inches moved a stop by a metre", () => {
    const one = withSlip("a31", (mm) => mm * INCH).filter(({ id }) => id === "a31");
    expect(refusal(demoJob, one)).toMatch(
      /^The readings do not fit the job at all, so nothing is advised: .*(would be off by|would scatter) [\d,]+ times .*Look for a wrong unit/,
    );
  });

  longIt("are borne where the job allows for mistakes and others tell the same", () => {
    expect(
      refusal(
        { ...demoJob, mistakes: 0.05 },
        withSlip("a04", () => 54.5 * DEGREE),
      ),
    ).toBe("");
  });

  longIt("are not those of the demonstration", () => {
    expect(refusal(demoJob, demoReadings)).toBe("");
  });
});
