import { appendFileSync, cpSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { recordYaml } from "../../../src/features/record/record-yaml.js";
import { calibrateJob } from "../../../src/inference/calibrate-job.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { forecastCells } from "../../../src/inference/forecast/forecast-cells.js";
import { afterCard, jobPosterior, withScatters } from "../../../src/inference/job-posterior.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadRecord } from "../../../src/io/records/load-record.js";
import { loadTrialPlan } from "../../../src/io/trials/load-trials.js";
import type { Job } from "../../../src/model/job/job.js";
import { DEMO } from "../../inference/demo.js";
import { leanColumn, leaningJob, leaningReadings } from "../../inference/leaning-demo.js";
import { inFolder } from "../../io/in-folder.js";

/** The demonstration job on stock whose thickness is known: a record keeps jigs, and the next batch is another. */
const folder = inFolder({});
const text = readFileSync(join(DEMO, "job.yaml"), "utf8").replace(
  /^thickness:.*$/m,
  "thickness: { trusted-to: 0 }",
);
writeFileSync(join(folder, "job.yaml"), text);
cpSync(join(DEMO, "plan.csv"), join(folder, "plan.csv"));
const job = loadJob(folder);
// Of the hinges only lengths are read, which mitre and seat set together: what is known of one depends on the other. The jigs are right.
const plan = loadTrialPlan(join(folder, "plan.csv"), job).filter(
  ({ bench, trial }) => bench !== "cell" && trial !== "b3",
);
const readings = simulateTrials(job, plan, { truth: new Float64Array(jobSources(job).length), seed: 6 });

/** The next job, starting from a record of this one on the same day. */
function nextJob(record: string, scatters: Job["betweenCutSd"]): Job {
  writeFileSync(join(folder, "jigs.yaml"), record);
  appendFileSync(join(folder, "job.yaml"), "\nrecords: [jigs.yaml]\nwiden: { ramps: 0 deg, stops: 0 mm }\n");
  const next = loadJob(folder);
  writeFileSync(join(folder, "job.yaml"), text);
  return { ...next, betweenCutSd: scatters };
}

describe("a record", () => {
  const calibration = calibrateJob(job, readings, { seed: 3 });
  const { posterior, before, after } = calibration;
  const scatters = withScatters(job, posterior).betweenCutSd;
  const options = { trials: 60_000, threads: 1, budget: false, seed: 5 } as const;

  it.each([
    ["of the jigs as they stand promises the next job what the card says of now", posterior, before],
    ["of the jigs after the moves promises what the card promised", afterCard(posterior, 3), after],
  ])("%s", async (_, known, card) => {
    const next = nextJob(recordYaml(known, "2026-01-01")!, scatters);
    const { cell, posterior: from } = await forecastCells(next, options);
    expect(from.basis).toEqual({ readings: 0, pieces: 0, records: ["jigs.yaml"] });
    const error = Math.hypot(card.closesUncertainty, (cell.closes.high - cell.closes.low) / 4);
    expect(Math.abs(cell.closes.value - card.closes)).toBeLessThan(4 * error);
    // Without what ties mitre to seat it would be another promise.
    const { recorded: __, ...loose } = next;
    const alone = await forecastCells(loose, options);
    expect(alone.cell.closes.value).toBeLessThan(cell.closes.value - 4 * error);
  });

  it("has the covariance of the posterior", () => {
    const next = nextJob(recordYaml(posterior, "2026-01-01")!, scatters);
    const again = jobPosterior(next, []);
    const p = posterior.sources.length;
    expect(again.sources.map(({ id }) => id)).toEqual(posterior.sources.map(({ id }) => id));
    for (let i = 0; i < p; i++)
      for (let j = 0; j < p; j++) {
        const u = Math.sqrt(posterior.covariance[i * (p + 1)]! * posterior.covariance[j * (p + 1)]!);
        const off = again.covariance[i * p + j]! - posterior.covariance[i * p + j]!;
        expect(Math.abs(off) / u).toBeLessThan(1e-3);
      }
  });
});

describe("a record of a shop whose lean is known in size and not in sign", () => {
  it("has both sides, and so has the next job", () => {
    const posterior = jobPosterior(leaningJob, leaningReadings(false));
    expect(posterior.fit!.sources[leanColumn]!.sides).not.toBeNull();
    const record = recordYaml(posterior, "2026-01-01")!;
    const file = join(inFolder({ "jigs.yaml": record }), "jigs.yaml");
    const { together } = loadRecord(file);
    const lean = together!.sources.findIndex(({ kind }) => kind === "lean");
    const sides = together!.cases.map(({ mean, share }) => [Math.sign(mean[lean]!), share] as const);
    expect(sides.map(([sign]) => sign).sort()).toEqual([-1, 1]);
    const p = posterior.sources.length;
    const above = Array.from(
      { length: posterior.draws },
      (_, d) => posterior.sample[d * p + leanColumn]! > 0,
    );
    const share = above.filter(Boolean).length / posterior.draws;
    expect(sides.find(([sign]) => sign > 0)![1]).toBeCloseTo(share, 5);
  });
});
