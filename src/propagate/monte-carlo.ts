import { createStream } from "../numeric/random-stream.js";
import { refuse } from "../numeric/refuse.js";
import { needProbability } from "./checks.js";
import { inputSampler } from "./draw-inputs.js";
import { type Correlation, type InputQuantity, joinInputs, type Model } from "./inputs.js";
import { DEFAULT_COVERAGE_PROBABILITY } from "./law-of-propagation.js";
import { blockErrors, blockSize, type OutputSummary, runTrials, summarise } from "./monte-carlo-blocks.js";
import { significant } from "./significant.js";

export const DEFAULT_TRIALS = 1_000_000;
export const DEFAULT_SEED = 1;

/** How many trials are drawn, and what is told of them. */
export interface MonteCarloOptions {
  readonly correlations?: readonly Correlation[];
  /** Coverage probability, 0 < p < 1; default 0.95. */
  readonly coverageProbability?: number;
  /** Number M of trials; default 10⁶, which JCGM 101, 7.2.2 expects to give a 95 % interval to one or two digits. */
  readonly trials?: number;
  /** Whole number, default 1: the same seed gives the same result. */
  readonly seed?: number;
}

/** Propagation of distributions by Monte Carlo (JCGM 101:2008). */
export interface MonteCarlo extends OutputSummary {
  /** `fixed`: as many trials as asked for. `stable`, `not stable`: of the adaptive procedure. */
  readonly status: "fixed" | "stable" | "not stable";
  readonly sentence: string;
  /** Number of trials. */
  readonly trials: number;
  /** Coverage probability of the intervals, 0 to 1. */
  readonly coverageProbability: number;
  /** Standard errors of estimate, uncertainty and interval ends; `null` below two blocks of 10⁴ trials. */
  readonly standardErrors: OutputSummary | null;
  /** All output values, in the output's unit, ascending: the discrete representation G of its distribution (7.5). */
  readonly values: Float64Array;
}

/**
 * Propagation of distributions by Monte Carlo with a fixed number of trials (JCGM 101:2008, clause 7).
 * @throws RangeError for contradictory inputs, a correlated input that is not normal, a trial without a finite value
 */
export function monteCarlo(
  model: Model,
  inputs: readonly InputQuantity[],
  options: MonteCarloOptions = {},
): MonteCarlo {
  const { coverageProbability = DEFAULT_COVERAGE_PROBABILITY, trials = DEFAULT_TRIALS } = options;
  needProbability(coverageProbability, "the coverage probability", "monteCarlo");
  if (!(Number.isInteger(trials) && trials >= 100))
    refuse("the number of trials is out of range", "a whole number from 100", trials, "monteCarlo");
  const joint = joinInputs(inputs, options.correlations);
  const stream = createStream(options.seed ?? DEFAULT_SEED);
  const values = runTrials(model, inputSampler(joint), stream, inputs.length, trials);
  const size = blockSize(coverageProbability);
  const blocks: OutputSummary[] = [];
  for (let k = 0; (k + 1) * size <= trials; k++)
    blocks.push(summarise(values.slice(k * size, (k + 1) * size), coverageProbability));
  const summary = summarise(values, coverageProbability);
  return {
    status: "fixed",
    sentence: `${trials} trials: ${significant(summary.estimate, 6)} with standard uncertainty ${significant(summary.standardUncertainty)}.`,
    trials,
    coverageProbability,
    standardErrors: blocks.length >= 2 ? blockErrors(blocks) : null,
    values,
    ...summary,
  };
}
