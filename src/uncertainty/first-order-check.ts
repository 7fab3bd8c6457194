import type { InputQuantity, Model } from "./inputs.js";
import { lawOfPropagation, type Propagation, type PropagationOptions } from "./law-of-propagation.js";
import { type AdaptiveMonteCarlo, type AdaptiveOptions, adaptiveMonteCarlo } from "./monte-carlo.js";
import { significant } from "./monte-carlo-blocks.js";

/** Significant digits to which the first order is asked to agree (JCGM 101:2008, 8.1 takes one or two). */
export const DEFAULT_CHECK_DIGITS = 1;
/** Monte Carlo must be this much finer than the tolerance it judges with (JCGM 101:2008, 8.2). */
const FINER = 5;

/** How closely first order and Monte Carlo are to agree. */
export interface FirstOrderCheckOptions extends PropagationOptions {
  /** Significant digits of the standard uncertainty to agree to, 1 or 2; default 1. */
  readonly significantDigits?: number;
  /** Seed of Monte Carlo, whole, ≥ 0; default 1. */
  readonly seed?: number;
  /** Number of trials at most; default 10⁷. */
  readonly mostTrials?: number;
  /** Which Monte Carlo interval is compared; default `symmetric`. */
  readonly interval?: AdaptiveOptions["interval"];
}

/** Whether the law of propagation may be trusted for this model and these inputs (JCGM 101:2008, clause 8). */
export interface FirstOrderCheck {
  /** `undecided` when Monte Carlo was stopped before it was fine enough to tell. */
  readonly status: "trusted" | "not trusted" | "undecided";
  readonly sentence: string;
  /** |difference| of the lower and of the upper ends of the two intervals, in the output's unit, ≥ 0. */
  readonly differences: readonly [low: number, high: number];
  /** δ that both must not exceed, in the output's unit. */
  readonly tolerance: number;
  readonly propagation: Propagation;
  readonly monteCarlo: AdaptiveMonteCarlo;
}

/**
 * Runs both methods and compares their coverage intervals, end by end, with the numerical tolerance of the standard
 * uncertainty (JCGM 101:2008, 8.1). A pass holds for this model at these estimates and uncertainties only.
 * @throws RangeError as `lawOfPropagation` and `adaptiveMonteCarlo`
 * @example
 * const inputs = [{ name: "x", distribution: normal(1, 0.1) }];
 * checkFirstOrder(([x]) => 3 * x, inputs, { significantDigits: 1 }).status // "trusted"
 */
export function checkFirstOrder(
  model: Model,
  inputs: readonly InputQuantity[],
  options: FirstOrderCheckOptions = {},
): FirstOrderCheck {
  const { significantDigits = DEFAULT_CHECK_DIGITS, interval = "symmetric" } = options;
  const propagation = lawOfPropagation(model, inputs, options);
  const { correlations, coverageProbability, seed, mostTrials } = options;
  const monteCarlo = adaptiveMonteCarlo(model, inputs, {
    ...(correlations && { correlations }),
    ...(coverageProbability !== undefined && { coverageProbability }),
    ...(seed !== undefined && { seed }),
    ...(mostTrials !== undefined && { mostTrials }),
    interval,
    significantDigits,
    divideTolerance: FINER,
  });
  const [low, high] = monteCarlo[interval];
  const differences = [
    Math.abs(propagation.interval[0] - low),
    Math.abs(propagation.interval[1] - high),
  ] as const;
  const tolerance = monteCarlo.tolerance * FINER;
  const worst = Math.max(...differences);
  const [lowError, highError] = monteCarlo.standardErrors![interval];
  const doubt = 2 * Math.max(lowError, highError);
  const decided = monteCarlo.status === "stable" || Math.abs(worst - tolerance) > doubt;
  const status = !decided ? "undecided" : worst <= tolerance ? "trusted" : "not trusted";
  return {
    status,
    sentence: sentenceOf(status, worst, tolerance),
    differences,
    tolerance,
    propagation,
    monteCarlo,
  };
}

function sentenceOf(status: FirstOrderCheck["status"], worst: number, tolerance: number): string {
  const figures = `the interval ends differ by up to ${significant(worst)}, the tolerance is ${significant(tolerance, 2)}`;
  if (status === "trusted") return `The first order may be trusted here: ${figures}.`;
  if (status === "not trusted")
    return `The first order may not be trusted here: ${figures}. Use the Monte Carlo result.`;
  return `Undecided, more trials are needed: ${figures}.`;
}
