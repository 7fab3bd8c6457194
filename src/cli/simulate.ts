import { join } from "node:path";
import { simulateTrials } from "../calibrate/simulate-trials.js";
import { writeFile } from "../files/write-file.js";
import { loadJob } from "../job/load-job.js";
import { loadTrialPlan } from "../job/load-trials.js";
import { loadTruth } from "../job/load-truth.js";
import { trialsCsv } from "../report/text/trials-csv.js";

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
