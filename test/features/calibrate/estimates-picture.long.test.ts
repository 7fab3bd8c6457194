import { resolve } from "node:path";
import { expect, it } from "vitest";
import { drawCalibratedCell, drawEstimates } from "../../../src/features/calibrate/calibration-charts.js";
import { calibrateJob } from "../../../src/inference/calibrate-job.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrials } from "../../../src/io/trials/load-trials.js";
import { PALETTE } from "../../../src/render/style.js";
import { rowsWith } from "../../render/charts/charts-of.js";

const folder = resolve(import.meta.dirname, "../../../data/alcove-screen");
const job = loadJob(folder);
const DEGREE = Math.PI / 180;

it("draws what was believed before about what a record expects, not about zero", async () => {
  const [first, ...others] = job.jigs;
  const expected = { ...first!, priorMean: 0.3 * DEGREE, priorSd: 0.05 * DEGREE };
  const known = { ...job, jigs: [expected, ...others] };
  const calibration = calibrateJob(known, loadTrials(resolve(folder, "trials.csv"), known), { draws: 200 });
  const { vegaLite, text } = await drawEstimates(calibration);
  expect(text.match(/What the readings say/g)).toHaveLength(1);
  const bars = rowsWith(vegaLite as Parameters<typeof rowsWith>[0], "color", PALETTE.earlierPale, "rule");
  const middles = bars.map(({ value, high }) => [
    Number(high) - Number(value),
    (Number(value) + Number(high)) / 2,
  ]);
  // Two standard deviations either way about 0.3°, on an axis in degrees.
  expect(middles).toContainEqual([expect.closeTo(0.2, 6), expect.closeTo(0.3, 6)]);
});

it("draws the cell before and after the moves at one magnification", async () => {
  const calibration = calibrateJob(job, loadTrials(resolve(folder, "trials.csv"), job), { draws: 200 });
  const drawn = async (when: "before" | "after") =>
    /movements (\d+) times as large/.exec((await drawCalibratedCell(calibration, when)).text)![1];
  expect(await drawn("after")).toBe(await drawn("before"));
  expect(calibration.decision.moves.change.some((change) => change !== 0)).toBe(true);
});
