import { existsSync } from "node:fs";
import { CliError } from "../../core/errors.js";
import { writeFile } from "../../core/files/write-files.js";
import { type PlanAim, planTrials } from "../../inference/design/plan-trials.js";
import { trialsFile } from "../../io/files.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { trialsCsv } from "../../io/trials/trials-csv.js";
import { planJson } from "./plan-json.js";
import { planText } from "./plan-text.js";

export interface PlanFlags {
  readonly aim: PlanAim;
  readonly trials?: number;
  readonly minutes?: number;
  readonly sure?: number;
  readonly seed: number;
  readonly json?: boolean;
  readonly out?: string;
}

/** `sukima plan JOBFOLDER`: which trials to cut next; from the job alone before it has a table of trials. */
export function planCommand(folder: string, flags: PlanFlags, onProgress: (step: string) => void): string {
  const { aim, trials, minutes, sure, seed, json, out } = flags;
  const job = loadJob(folder);
  if (job.setUps.length === 0 || job.instruments.length === 0)
    throw new CliError(
      "There is nothing to plan with: the job file must have jigs, set-ups and instruments. “sukima new FOLDER” writes one to start from.",
    );
  const readings = existsSync(trialsFile(folder)) ? loadTrials(folder, job) : [];
  const plan = planTrials(job, readings, {
    ...{ aim, seed, onProgress },
    ...(trials === undefined ? {} : { trials }),
    ...(minutes === undefined ? {} : { minutes }),
    ...(sure === undefined ? {} : { sure }),
  });
  if (out !== undefined) writeFile(out, trialsCsv(job, plan.readings));
  if (json) return JSON.stringify(planJson(plan), null, 1);
  const rows = `${plan.readings.length} rows to fill in`;
  return `${planText(plan)}\n${out === undefined ? `With --out FILE the ${rows} are written as a table of trials.` : `${rows} written to ${out}.`}`;
}
