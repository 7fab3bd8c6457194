import { cellOf } from "../calibrate/specimen.js";
import { jobAsCut } from "../job/job-as-cut.js";
import { loadJob } from "../job/load-job.js";
import { type CellPrediction, predictCell } from "../predict/predict-cell.js";
import { predictionText } from "../report/text/prediction-text.js";

export interface PredictFlags {
  readonly json?: boolean;
}

/** `sukima predict FILE`: the gaps of the job's cell as it was cut. */
export function predictCommand(file: string, { json }: PredictFlags): string {
  const job = loadJob(file);
  const cell = cellOf(job);
  const prediction = predictCell(cell, jobAsCut(job, cell), job);
  return json ? predictionJson(prediction) : predictionText(job, cell, prediction);
}

function predictionJson({
  probes,
  worstGap,
  worstPress,
  order,
  firstOrderDifference,
}: CellPrediction): string {
  return JSON.stringify(
    { probes, worstGap, worstPress, order, firstOrderDifference } satisfies Partial<CellPrediction>,
    null,
    1,
  );
}
