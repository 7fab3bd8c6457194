import type { Job } from "../model/job/job.js";
import { type Decision, decideMoves } from "./decision/decide-moves.js";
import type { SourceFit } from "./estimates/fit-sources.js";
import type { Goodness, ReadingResidual } from "./estimates/judge-fit.js";
import type { Specimen } from "./likelihood/specimen.js";
import { type FitVerdict, judgeReadings } from "./misfit/judge-readings.js";

/** Whether the model fits the readings, and what to do. */
export interface CardDecision {
  readonly verdict: FitVerdict;
  readonly decision: Decision;
}

interface CardOptions {
  readonly seed: number;
  readonly residuals: readonly ReadingResidual[];
  /** Goodness of the fit, if it is already known. */
  readonly goodness?: Goodness | null;
  /** The verdict on the fit, if it is already known. */
  readonly verdict?: FitVerdict;
  readonly onProgress?: (step: string) => void;
}

/**
 * What the card says. The fit is judged first; if the model does not fit the readings, no move is recommended until that is resolved.
 *
 * @param residuals residuals of the fit's readings.
 * @param seed an integer ≥ 0.
 */
export function cardDecision(
  job: Job,
  fit: SourceFit,
  specimen: Specimen,
  { seed, residuals, goodness, verdict: judged, onProgress = () => {} }: CardOptions,
): CardDecision {
  onProgress("judging the fit");
  const verdict = judged ?? judgeReadings(fit, residuals, seed, goodness ?? undefined);
  onProgress("weighing the moves");
  const fits = verdict.verdict !== "does not fit";
  return { verdict, decision: decideMoves(job, fit, specimen, { seed, fits }) };
}
