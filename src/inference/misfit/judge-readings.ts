import { medianAbsoluteDeviation } from "simple-statistics";
import { at } from "../../core/numeric/dense.js";
import type { SourceFit } from "../estimates/fit-sources.js";
import { type Goodness, judgeFit, judgeTarget, type ReadingResidual } from "../estimates/judge-fit.js";
import { targetDensity } from "../posterior/posterior-mode.js";
import { type ComparedReason, compareReasons } from "./compare-reasons.js";
import type { MisfitReason } from "./departure.js";

/** A reason why the readings differ from what the model predicts, as reported. */
export interface LikelyReason {
  readonly reason: MisfitReason;
  /** Its posterior probability among all reasons and “none of these”, 0 to 1. */
  readonly chance: number;
  /** Natural log of its Bayes factor against the model as it stands. */
  readonly logEvidence: number;
  /**
   * Its size, rad for an angle, otherwise mm: how much too high the instrument reads, how much thicker the listed pieces are, or how much a single source grew from the first piece to the last;
   * `null` for the other reasons.
   */
  readonly size: number | null;
}

/** The probable reasons for a misfit of the readings. */
export interface Misfit {
  /** In descending order of probability. */
  readonly reasons: readonly LikelyReason[];
  /** The most probable reason; `null` if “none of these” is more probable. */
  readonly named: LikelyReason | null;
  /** The second most probable reason if it is a serious alternative; otherwise `null`. */
  readonly runnerUp: LikelyReason | null;
  /** Whether the readings fit the model once the named reason is accounted for. */
  readonly explained: boolean;
  /** Factor by which the standard uncertainties and intervals of a fit are widened because the misfit is not explained; 1 if it is explained. */
  readonly widening: number;
}

/** Whether the readings fit the model and, if not, the possible reasons. */
export interface FitVerdict {
  readonly verdict: "fits" | "doubtful" | "does not fit";
  /** Share of data sets simulated from the fit that fit no better: small if the readings scatter more than the job states. */
  readonly probability: number;
  readonly simulated: number;
  /** Robust spread of the residuals in standard deviations (1.4826 × median absolute deviation): about 1 for values, less if most readings only say "closed". */
  readonly residualSpread: number;
  readonly outliers: readonly string[];
  /** The possible reasons for a misfit; `null` if the readings fit. */
  readonly misfit: Misfit | null;
}

/** Below this probability the fit is doubted: none of the 39 sets fits as badly. */
const DOUBTFUL = 0.03;
/** If the Bayes factor of all reasons together against the model as it stands is at least this, the readings do not fit, whatever the overall check says. */
export const NOTICED = 5;
/** Bayes factor assigned to “none of these”: a reason is named if its own is larger. */
const NONE_OF_THESE = 3;
/** A second reason is reported if its probability is at least this share of the first one's. */
const CLOSE = 0.1;
const MAD_TO_SIGMA = 1.4826;

/**
 * Judges a fit by all readings together (../estimates/judge-fit.ts) and by each reason that can be named (compare-reasons.ts). Under the model the Bayes factor that is compared with
 * {@link NOTICED} has a mean of 1 over the prior; `npm run study` counts how often it exceeds the threshold although nothing is wrong.
 *
 * @param goodness goodness of the fit, if already known; it is the same for a fit that was widened afterwards.
 */
export function judgeReadings(
  fit: SourceFit,
  residuals: readonly ReadingResidual[],
  seed: number,
  goodness: Goodness = judgeFit(fit, seed),
): FitVerdict {
  const { probability, simulated, beyond } = goodness;
  const { reasons, logEvidence } = reasonsFor(fit);
  const noticed = beyond || logEvidence >= Math.log(NOTICED);
  const verdict = noticed ? "does not fit" : probability < DOUBTFUL ? "doubtful" : "fits";
  const outliers = residuals.filter(({ outlier }) => outlier).map(({ reading }) => reading.id);
  const misfit = verdict === "fits" ? null : misfitOf(reasons, goodness, seed);
  return {
    verdict,
    probability,
    simulated,
    outliers,
    misfit,
    residualSpread: MAD_TO_SIGMA * medianAbsoluteDeviation(residuals.map(({ residual }) => residual)),
  };
}

/**
 * The fit that every command uses: if the readings do not fit and no known reason explains the misfit, its draws, uncertainties and intervals are widened about its estimates.
 *
 * @param goodness goodness of the fit, from {@link judgeFit}.
 */
export function widenedWhereUnexplained(fit: SourceFit, goodness: Goodness, seed: number): SourceFit {
  return goodness.beyond ? widened(fit, misfitOf(reasonsFor(fit).reasons, goodness, seed).widening) : fit;
}

function reasonsFor(fit: SourceFit): ReturnType<typeof compareReasons> {
  const { target, betweenCutSd } = fit;
  const { job, readings, cells } = target;
  const { angle, length, thickness } = betweenCutSd;
  const scatters = { angle: angle.stated, length: length.stated, thickness: thickness.stated };
  const stated = targetDensity({ ...job, betweenCutSd: scatters }, target.sources, readings, cells);
  return compareReasons(stated, fit.mode().estimates);
}

function misfitOf(
  compared: readonly ComparedReason[],
  { beyond, inflation }: Goodness,
  seed: number,
): Misfit {
  const ratios = compared.map(({ logEvidence }) => Math.exp(Math.min(logEvidence, LARGEST_LOG)));
  const total = ratios.reduce((sum, ratio) => sum + ratio, NONE_OF_THESE);
  const reasons = compared.map(
    ({ reason, logEvidence, size }, k): LikelyReason => ({
      reason,
      logEvidence,
      chance: at(ratios, k) / total,
      size: reason.kind === "drift" && reason.sources.length > 1 ? null : size,
    }),
  );
  const [first, second] = reasons;
  const named = first && first.chance > NONE_OF_THESE / total ? first : null;
  const runnerUp = named && second && second.chance >= CLOSE * named.chance ? second : null;
  const fit = named && compared[0]?.fit;
  const explained = fit ? !judgeTarget(fit.target, fit.mode.estimates, seed).beyond : false;
  return { reasons, named, runnerUp, explained, widening: explained || !beyond ? 1 : inflation };
}

/** Log evidences are limited to this, to avoid overflow of their exponentials. */
const LARGEST_LOG = 600;

/** A fit whose draws, standard uncertainties and intervals are `by` times as wide about its estimates. */
export function widened(fit: SourceFit, by: number): SourceFit {
  if (by === 1) return fit;
  const p = fit.sources.length;
  const about =
    (estimates: Float64Array) =>
    (value: number, k: number): number =>
      at(estimates, k % p) + by * (value - at(estimates, k % p));
  const square = (covariance: Float64Array): Float64Array => covariance.map((value) => value * by ** 2);
  return {
    ...fit,
    sample: fit.sample.map(about(fit.estimates)),
    covariance: square(fit.covariance),
    oneSide: { ...fit.oneSide, covariance: square(fit.oneSide.covariance) },
    sources: fit.sources.map((source) => {
      const { estimate, interval, standardUncertainty, current, sides } = source;
      return {
        ...source,
        standardUncertainty: by * standardUncertainty,
        interval: [
          estimate + by * (interval[0] - estimate),
          estimate + by * (interval[1] - estimate),
        ] as const,
        current: { ...current, standardUncertainty: by * current.standardUncertainty },
        sides: sides && {
          above: { ...sides.above, standardUncertainty: by * sides.above.standardUncertainty },
          below: { ...sides.below, standardUncertainty: by * sides.below.standardUncertainty },
        },
      };
    }),
  };
}
