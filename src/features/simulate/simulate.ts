import { join } from "node:path";
import { writeFile } from "../../core/files.js";
import { simulateTrials } from "../../inference/estimates/simulate-trials.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTruth } from "../../io/records/load-truth.js";
import { loadTrialPlan } from "../../io/trials/load-trials.js";
import { trialsCsv } from "../../io/trials/trials-csv.js";

export interface SimulateFlags {
  readonly out?: string;
}

/** `sukima simulate JOBFOLDER`: the planned readings of a shop with the errors in truth.yaml. */
export function simulateCommand(folder: string, { out }: SimulateFlags): string {
  const job = loadJob(folder);
  const truth = loadTruth(join(folder, "truth.yaml"), job);
  const plan = loadTrialPlan(join(folder, "plan.csv"), job);
  const table = trialsCsv(job, simulateTrials(job, plan, { truth: truth.sources, seed: truth.seed }));
  if (out === undefined) return table;
  writeFile(out, table);
  return `${plan.length} readings written to ${out}`;
}
