import { expect, it } from "vitest";
import { predictionText } from "../../../src/features/predict/prediction-report.js";
import { noErrors } from "../../../src/model/cell/cell-errors.js";
import { shortJointNames } from "../../../src/model/cell/joint-names.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { demoJob } from "../../inference/demo.js";

it("joints that print the same stand in the order of the cell, not of rounding errors", () => {
  const cell = jobCell(demoJob);
  const prediction = predictCell(cell, noErrors(cell), demoJob);
  const noisy = {
    ...prediction,
    probes: prediction.probes.map((probe, i) => ({ ...probe, gap: i === 9 ? 0.2 : ((i * 7) % 5) * 1e-15 })),
  };
  const lines = predictionText(demoJob, cell, noisy).split("EVERY JOINT")[1]!.split("\n");
  const listed = lines.filter((line) => / (?:toe|heel) /.test(line)).map((line) => line.split(/ {2,}/)[0]);
  const short = shortJointNames(cell);
  const { joint: worst } = prediction.probes[9]!;
  expect(predictionText(demoJob, cell, noisy, { details: false })).not.toContain("EVERY JOINT");
  const inOrder = [worst, ...prediction.probes.filter((_, i) => i !== 9).map(({ joint }) => joint)];
  expect(listed).toEqual(inOrder.map((joint) => short.get(joint)));
});
