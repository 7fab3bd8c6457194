import { resolve } from "node:path";
import { cellPlan } from "../../../src/features/explain/seen-by-eye.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { cellSpecimen, jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import type { Place, Reading } from "../../../src/model/readings.js";
import { sourceText } from "../../../src/render/source-text.js";

/** The invented demonstration job: 4 mm strips, three jigs, shim strips down to 0.02 mm. */
export const job = loadJob(resolve(import.meta.dirname, "../../../data/alcove-screen"));
export const specimen = cellSpecimen(job);

/** Gaps of a whole cell with one source off by so many of its standard deviations. */
export function cellWith(
  source: string | null,
  deviations: number,
  options: { readonly seed?: number; readonly instrument?: string; readonly places?: readonly Place[] } = {},
): Reading[] {
  const { seed = 1, instrument = "shim-strips", places = ["widest"] } = options;
  const sources = jobSources(job);
  const truth = Float64Array.from(sources, ({ id, priorSd }) =>
    sourceText(id) === source ? deviations * priorSd : 0,
  );
  const tool = job.instruments.find(({ name }) => name === instrument)!;
  return simulateTrials(job, cellPlan(specimen.cell, tool, places), { truth, seed });
}
