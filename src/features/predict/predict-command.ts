import { jobCell } from "../../inference/likelihood/specimen.js";
import { loadJob } from "../../io/job/load-job.js";
import type { Job } from "../../model/job/job.js";
import { jobAsCut } from "../../model/job/job-cell.js";
import { type FittedGroup, predictAsMade } from "../../physics/fitting/fit-lengths.js";
import type { CellPrediction } from "../../physics/predict/predict-cell.js";
import { predictionText } from "./prediction-text.js";

export interface PredictFlags {
  readonly json?: boolean;
  readonly lengths?: Job["lengths"];
}

/** The job with its pieces taken another way than its file says. */
export const withLengths = (job: Job, lengths: Job["lengths"] | undefined): Job =>
  lengths === undefined ? job : { ...job, lengths };

/** `sukima predict FILE`: the gaps of the job's cell as it was cut, or with its pieces fitted by trial. */
export function predictCommand(file: string, { json, lengths }: PredictFlags): string {
  const job = withLengths(loadJob(file), lengths);
  const cell = jobCell(job);
  const { prediction, groups } = predictAsMade(job, cell, jobAsCut(job, cell));
  return json ? predictionJson(prediction, groups) : predictionText(job, cell, prediction, groups);
}

function predictionJson(
  { probes, worstGap, worstPress, order, firstOrderDifference }: CellPrediction,
  groups: readonly FittedGroup[] | null,
): string {
  const cell = {
    probes,
    worstGap,
    worstPress,
    order,
    firstOrderDifference,
  } satisfies Partial<CellPrediction>;
  return JSON.stringify(groups === null ? cell : { ...cell, fitted: groups }, null, 1);
}
