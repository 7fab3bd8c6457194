import { CliError } from "../../core/errors.js";
import { writeFile } from "../../core/files/write-files.js";
import type { Moves } from "../../inference/decision/drawn-cells.js";
import { fitSources, type SourceFit } from "../../inference/estimates/fit-sources.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import type { Job } from "../../model/job/job.js";
import { calibrateFolder, today } from "../calibrate/index.js";
import { recordYaml } from "./record-yaml.js";

export interface RecordFlags {
  readonly out: string;
  /** The moves of the card have been made. */
  readonly moved?: boolean;
  readonly seed: number;
}

/** `sukima record JOBFOLDER --out FILE`: what the trial cuts found of the jigs, for the next job to start from. */
export function recordCommand(
  folder: string,
  { out, moved, seed }: RecordFlags,
  onProgress: (step: string) => void,
): string {
  const { job, fit, moves } = moved ? afterMoves(folder, seed, onProgress) : asTried(folder, onProgress);
  const text = recordYaml(job, fit, today(), moves);
  if (text === null)
    throw new CliError("The readings tell too little of any jig or stop to be kept; cut more trials first.");
  writeFile(out, text);
  return [
    `Written: ${out}${moved ? ", as the jigs stand after the moves of the card" : ", as the jigs stood when the trials were cut"}.`,
    `Keep it with the jigs. Copy it into the next job's folder and name it there: records: [${out.split("/").at(-1)}]`,
  ].join("\n");
}

interface Found {
  readonly job: Job;
  readonly fit: SourceFit;
  readonly moves?: Moves;
}

function asTried(folder: string, onProgress: (step: string) => void): Found {
  const job = loadJob(folder);
  const readings = loadTrials(folder, job);
  onProgress("fitting the jigs and stops to the readings");
  return { job, fit: fitSources(job, readings) };
}

/** The moves are those of the card, so they are found the same way. */
function afterMoves(folder: string, seed: number, onProgress: (step: string) => void): Found {
  const { job, fit, decision } = calibrateFolder(folder, seed, onProgress);
  return { job, fit, moves: decision.moves };
}
