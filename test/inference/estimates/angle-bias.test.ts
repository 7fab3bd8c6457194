import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { DEGREE } from "../../../src/core/geometry.js";
import { calibrationJson } from "../../../src/features/calibrate/calibration-report.js";
import { calibrationText } from "../../../src/features/calibrate/calibration-text.js";
import { calibrateJob } from "../../../src/inference/calibrate-job.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrials } from "../../../src/io/trials/load-trials.js";

const DEMO = resolve(import.meta.dirname, "../../../data/alcove-screen");
const plain = loadJob(DEMO);
const job = {
  ...plain,
  instruments: plain.instruments.map((instrument) =>
    instrument.reads.includes("angle")
      ? { ...instrument, bias: 0.1 * DEGREE, biasPriorSd: 0.2 * DEGREE }
      : instrument,
  ),
};

describe("what an angle gauge reads too much", () => {
  const calibration = calibrateJob(job, loadTrials(DEMO, plain), { draws: 200 });
  const bias = calibration.fit.sources.find(({ id }) => id.kind === "bias")!;

  it("is an angle, in degrees in JSON and in text; it was shown in mm", () => {
    expect(bias.angular).toBe(true);
    const row = JSON.parse(JSON.stringify(calibrationJson(calibration))).sources.find(
      ({ id }: { id: { kind: string } }) => id.kind === "bias",
    );
    expect(row.unit).toBe("deg");
    expect(row.estimate).toBeCloseTo(bias.estimate / DEGREE, 9);
    const line = calibrationText(calibration, [])
      .split("\n")
      .find((text) => text.includes("bias of"));
    expect(line).toMatch(/°/);
    expect(line).not.toMatch(/mm/);
  });
});
