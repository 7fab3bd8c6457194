import { join } from "node:path";
import { writeFile } from "../../core/files.js";
import { simulateTrials } from "../../inference/estimates/simulate-trials.js";
import { loadJob } from "../../io/job/load-job.js";
import { requireOutput } from "../../io/outputs.js";
import { loadTruth } from "../../io/records/load-truth.js";
import { loadTrialPlan } from "../../io/trials/load-trials.js";
import { trialsCsv } from "../../io/trials/trials-csv.js";

export interface SimulateFlags {
  readonly out?: string;
}

/** `sukima simulate JOBFOLDER`: the planned readings of a shop with the errors in truth.yaml. */
export function simulateCommand(folder: string, { out }: SimulateFlags): string {
  const [truthFile, planFile] = ["truth.yaml", "plan.csv"].map((name) => join(folder, name)) as [
    string,
    string,
  ];
  if (out !== undefined) requireOutput(out, "table", [planFile]);
  const job = loadJob(folder);
  const truth = loadTruth(truthFile, job);
  const plan = loadTrialPlan(planFile, job);
  const table = trialsCsv(job, simulateTrials(job, plan, { truth: truth.sources, seed: truth.seed }));
  if (out === undefined) return table;
  writeFile(out, table);
  return `${plan.length} readings written to ${out}`;
}
