import { mean, quantileSorted, standardDeviation } from "simple-statistics";
import { at, columnOf } from "../../core/numeric/dense.js";
import type { Job } from "../../model/job/job.js";
import { SCATTER_OF, SCATTERS } from "../posterior/block-density.js";
import { type TargetDensity, targetDensity } from "../posterior/posterior-mode.js";
import { STATED_SCATTER_PIECES } from "../posterior/posterior-walk.js";

/** What is known of one between-cut standard deviation. */
export interface BetweenCutSdEvidence {
  /** As the job states it, rad or mm. */
  readonly stated: number;
  /** Root of the posterior mean of its square, rad or mm; the stated value if the readings do not inform it. */
  readonly used: number;
  /** Central 95 % interval of the posterior, rad or mm. */
  readonly interval: readonly [number, number];
  /** Evidence of the readings as a number of pieces, in addition to the {@link STATED_SCATTER_PIECES} that the job's statement counts as. */
  readonly degreesOfFreedom: number;
  /** Whether the readings are informative enough about it to report. */
  readonly estimated: boolean;
}

/** The between-cut standard deviations by kind of error. */
export type BetweenCutSdEstimate = { readonly [key in keyof Job["betweenCutSd"]]: BetweenCutSdEvidence };

/** A scatter counts as estimated if the evidence of the readings is at least this number of pieces. */
const FEWEST = 3;

/** The job's between-cut standard deviation of kind i of `SCATTERS`, rad or mm. */
export const statedScatter = ({ betweenCutSd }: Pick<Job, "betweenCutSd">, i: number): number =>
  betweenCutSd[at(SCATTERS, i)];

/** For each of the scatters, whether a reading depends on any cut-to-cut error with that scatter. */
export function informedScatters({ blocks }: TargetDensity): boolean[] {
  return SCATTERS.map((_, i) => blocks.some(({ kinds }) => kinds.some((kind) => SCATTER_OF[kind] === i)));
}

/** Estimates of the scatters from draws; `ratios` to the job's, row-major (draw, one of `SCATTERS`). */
export function scattersOf(
  job: Pick<Job, "betweenCutSd">,
  ratios: Float64Array,
  informed: readonly boolean[],
): BetweenCutSdEstimate {
  const evidence = (i: number): BetweenCutSdEvidence => {
    const stated = statedScatter(job, i);
    const own = Array.from(columnOf(ratios, i, SCATTERS.length)).sort((a, b) => a - b);
    const logs = own.map(Math.log);
    const spread = standardDeviation(logs);
    if (!informed[i] || stated === 0 || spread === 0)
      return { stated, used: stated, interval: [stated, stated], degreesOfFreedom: 0, estimated: false };
    // The log of a standard deviation known from n pieces has a standard deviation of about 1/√(2n).
    const degreesOfFreedom = Math.max(0, 1 / (2 * spread ** 2) - STATED_SCATTER_PIECES);
    return {
      stated,
      degreesOfFreedom,
      estimated: degreesOfFreedom >= FEWEST,
      used: stated * Math.sqrt(mean(own.map((ratio) => ratio ** 2))),
      interval: [stated * quantileSorted(own, 0.025), stated * quantileSorted(own, 0.975)],
    };
  };
  return { angle: evidence(0), length: evidence(1), thickness: evidence(2) };
}

/** A likelihood at given scatters. */
export function atScatters(
  { job, sources, readings, cells }: TargetDensity,
  { angle, length, thickness }: BetweenCutSdEstimate,
): TargetDensity {
  const betweenCutSd = { angle: angle.used, length: length.used, thickness: thickness.used };
  return targetDensity({ ...job, betweenCutSd }, sources, readings, cells);
}
