import { existsSync } from "node:fs";
import { type Command, Option } from "commander";
import { UserError } from "../../core/errors.js";
import { afterCard, type JobPosterior, jobPosterior } from "../../inference/job-posterior.js";
import { trialsFile } from "../../io/files.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import type { Job } from "../../model/job/job.js";

/** What a command is to speak from. */
export interface EvidenceFlags {
  /** `false` with `--without-readings`. */
  readonly withoutReadings?: boolean;
  /** The moves on the card have been made. */
  readonly moved?: boolean;
  readonly seed?: number;
}

/** Adds `--without-readings` to a command. */
export const addWithoutReadings = (command: Command): Command =>
  command.addOption(
    new Option("--without-readings", "ignore the readings in trials.csv; use only what job.yaml states"),
  );

/** Adds `--without-readings` and `--moved` to a command. */
export const addEvidence = (command: Command): Command =>
  addWithoutReadings(command).addOption(
    new Option("--moved", "as the jigs will be after the moves on the card").conflicts("withoutReadings"),
  );

/**
 * What a job's folder knows: the job, its records, and the readings of its `trials.csv` where it has one.
 *
 * @param path the job's folder or its job file
 * @throws JobError with all faults of the table
 * @throws UserError (code "command") when the moves on the card are asked for and there are no readings, or when no shop can have given the readings: `calibrate` refuses them too.
 */
export function folderPosterior(
  path: string,
  job: Job,
  { withoutReadings = false, moved = false, seed = 1 }: EvidenceFlags,
  onProgress: (step: string) => void,
): JobPosterior {
  const table = trialsFile(path);
  const readings = withoutReadings || !existsSync(table) ? [] : loadTrials(table, job);
  if (moved && readings.length === 0)
    throw new UserError(
      "command",
      `There is no card whose moves could have been made: --moved needs readings of trial pieces; ${table} has none. Leave out --moved.`,
    );
  const posterior = jobPosterior(job, readings, { seed, onProgress });
  if (!moved) return posterior;
  onProgress("weighing the moves");
  return afterCard(posterior, seed);
}
