import { describe, expect, it } from "vitest";
import { UserError } from "../../../src/core/errors.js";
import { calibrateJob } from "../../../src/inference/calibrate-job.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Reading } from "../../../src/model/readings.js";
import { demoJob, demoReadings } from "../demo.js";

const DEGREE = Math.PI / 180;
const _INCH = 25.4;

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
  it("are named by their line: an angle with two digits swapped ordered two moves", () => {
    expect(
      refusal(
        demoJob,
        withSlip("a04", () => 54.5 * DEGREE),
      ),
    ).toMatch(
      /[Rr]eading a04 \(.*trials\.csv, line 5\) (stands out most|is \d+ times further from the others)/,
    );
  });
});
