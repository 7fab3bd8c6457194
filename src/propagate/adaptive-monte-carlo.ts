import { createStream } from "../numeric/random-stream.js";
import { refuse } from "../numeric/refuse.js";
import { needProbability } from "./checks.js";
import { inputSampler } from "./draw-inputs.js";
import { type InputQuantity, joinInputs, type Model } from "./inputs.js";
import { DEFAULT_COVERAGE_PROBABILITY } from "./law-of-propagation.js";
import { DEFAULT_SEED, type MonteCarlo, type MonteCarloOptions } from "./monte-carlo.js";
import { blockErrors, blockSize, type OutputSummary, runTrials, summarise } from "./monte-carlo-blocks.js";
import { numericalTolerance } from "./numerical-tolerance.js";
import { significant } from "./significant.js";
import { typeA } from "./type-a.js";

export const DEFAULT_SIGNIFICANT_DIGITS = 2;
export const DEFAULT_MOST_TRIALS = 10_000_000;

/** How far an adaptive run goes. */
export interface AdaptiveOptions extends Omit<MonteCarloOptions, "trials"> {
  /** Significant digits of the standard uncertainty that should be right; default 2. */
  readonly significantDigits?: number;
  /** Tighter tolerance: a factor > 0 by which δ is divided; default 1. Clause 8.2 wants 5 for a comparison. */
  readonly divideTolerance?: number;
  /** Which interval must be stable; default `symmetric`. */
  readonly interval?: "symmetric" | "shortest";
  /** Stops at this number of trials, saying so; default 10⁷. */
  readonly mostTrials?: number;
}

/** Monte Carlo with as many trials as a stable answer took. */
export interface AdaptiveMonteCarlo extends MonteCarlo {
  /** The δ that twice each standard error had to undercut, in the output's unit. */
  readonly tolerance: number;
}

/**
 * Monte Carlo with as many trials as it takes (JCGM 101:2008, 7.9): blocks are added until twice the standard errors of
 * estimate, standard uncertainty and both interval ends are below the numerical tolerance δ.
 * @throws RangeError as `monteCarlo`
 */
export function adaptiveMonteCarlo(
  model: Model,
  inputs: readonly InputQuantity[],
  options: AdaptiveOptions = {},
): AdaptiveMonteCarlo {
  const { coverageProbability = DEFAULT_COVERAGE_PROBABILITY, mostTrials = DEFAULT_MOST_TRIALS } = options;
  needProbability(coverageProbability, "the coverage probability", "adaptiveMonteCarlo");
  const size = blockSize(coverageProbability);
  if (!(mostTrials >= 2 * size))
    refuse(
      "the limit of trials is out of range",
      `at least two blocks of ${size}`,
      mostTrials,
      "adaptiveMonteCarlo",
    );
  const joint = joinInputs(inputs, options.correlations);
  const sampler = inputSampler(joint);
  const stream = createStream(options.seed ?? DEFAULT_SEED);
  const pieces: Float64Array[] = [];
  const blocks: OutputSummary[] = [];
  let tolerance = 0;
  let stable = false;
  while (!stable && (pieces.length + 1) * size <= mostTrials) {
    const values = runTrials(model, sampler, stream, inputs.length, size);
    blocks.push(summarise(values, coverageProbability));
    pieces.push(values);
    if (pieces.length < 2) continue;
    const u = pooledDeviation(blocks, size);
    if (u === 0) {
      stable = true;
      break;
    }
    tolerance = numericalTolerance(u, options.significantDigits ?? DEFAULT_SIGNIFICANT_DIGITS);
    tolerance /= options.divideTolerance ?? 1;
    const errors = blockErrors(blocks);
    const ends = errors[options.interval ?? "symmetric"];
    stable = 2 * Math.max(errors.estimate, errors.standardUncertainty, ...ends) < tolerance;
  }
  const values = concatenate(pieces, size);
  const summary = summarise(values, coverageProbability);
  return {
    status: stable ? "stable" : "not stable",
    sentence: sentenceOf(stable, values.length, tolerance, summary),
    trials: values.length,
    tolerance,
    coverageProbability,
    standardErrors: blockErrors(blocks),
    values,
    ...summary,
  };
}

/** Standard deviation of all values, from the blocks' means and deviations. */
function pooledDeviation(blocks: readonly OutputSummary[], size: number): number {
  const within = blocks.reduce((sum, b) => sum + b.standardUncertainty ** 2, 0) * (size - 1);
  const between = typeA(blocks.map((b) => b.estimate)).standardDeviation ** 2 * (blocks.length - 1) * size;
  return Math.sqrt((within + between) / (blocks.length * size - 1));
}

function concatenate(pieces: readonly Float64Array[], size: number): Float64Array {
  const all = new Float64Array(pieces.length * size);
  pieces.forEach((piece, k) => {
    all.set(piece, k * size);
  });
  return all;
}

function sentenceOf(stable: boolean, trials: number, tolerance: number, summary: OutputSummary): string {
  const result = `${significant(summary.estimate, 6)} with standard uncertainty ${significant(summary.standardUncertainty)}`;
  return stable
    ? `Stable after ${trials} trials, to ±${significant(tolerance, 2)}: ${result}.`
    : `Not stable to ±${significant(tolerance, 2)} after ${trials} trials, where it was stopped: ${result}.`;
}
