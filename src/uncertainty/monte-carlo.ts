import { refuse } from "../core/errors.js";
import { at } from "../core/numeric/dense.js";
import { createStream } from "../core/numeric/random-stream.js";
import { needProbability } from "./distributions.js";
import {
  type Correlation,
  type InputQuantity,
  inputSampler,
  joinInputs,
  type Model,
  type VectorModel,
} from "./inputs.js";
import { DEFAULT_COVERAGE_PROBABILITY } from "./law-of-propagation.js";
import {
  blockErrors,
  blockSize,
  numericalTolerance,
  type OutputSummary,
  runTrials,
  significant,
  summarise,
} from "./monte-carlo-blocks.js";
import { typeA, typeACorrelation } from "./type-a.js";

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
 * @example
 * const inputs = [{ name: "x", distribution: rectangular(0, 1) }];
 * monteCarlo(([x]) => 2 * x, inputs, { trials: 10_000, seed: 1 }).estimate // 1.0053
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

/** Several outputs of the same trials. */
export interface JointMonteCarlo {
  /** Number of trials. */
  readonly trials: number;
  /** Coverage probability of each output's intervals, 0 to 1. */
  readonly coverageProbability: number;
  readonly outputs: readonly OutputSummary[];
  /** Correlation matrix of the outputs, −1 to 1; NaN where an output does not vary. */
  readonly correlation: readonly (readonly number[])[];
}

/**
 * Propagation of distributions for a model with several outputs, all from the same draws, so that their correlations
 * are those of the shared inputs (JCGM 102). Coverage intervals are of each output by itself.
 * @throws RangeError as `monteCarlo`
 * @example
 * const inputs = [{ name: "x", distribution: rectangular(0, 1) }];
 * jointMonteCarlo(([x]) => [x, 1 - x], inputs, { trials: 10_000, seed: 1 }).correlation[0][1] // -1
 */
export function jointMonteCarlo(
  model: VectorModel,
  inputs: readonly InputQuantity[],
  options: MonteCarloOptions = {},
): JointMonteCarlo {
  const { coverageProbability = DEFAULT_COVERAGE_PROBABILITY, trials = DEFAULT_TRIALS } = options;
  needProbability(coverageProbability, "the coverage probability", "jointMonteCarlo");
  if (!(Number.isInteger(trials) && trials >= 100))
    refuse("the number of trials is out of range", "a whole number from 100", trials, "jointMonteCarlo");
  const joint = joinInputs(inputs, options.correlations);
  const sampler = inputSampler(joint);
  const stream = createStream(options.seed ?? DEFAULT_SEED);
  const count = model(joint.estimates.slice()).length;
  const columns = Array.from({ length: count }, () => new Float64Array(trials));
  const x = new Float64Array(inputs.length);
  for (let k = 0; k < trials; k++) {
    sampler(stream, x);
    const y = model(x);
    for (let i = 0; i < count; i++) {
      if (!Number.isFinite(at(y, i)))
        refuse("the model gave no number in a trial", "its values must be finite", y[i], `output ${i + 1}`);
      at(columns, i)[k] = at(y, i);
    }
  }
  const varies = columns.map((column) => column.some((value) => value !== column[0]));
  const correlation = columns.map((a, i) =>
    columns.map((b, j) => (i === j ? 1 : varies[i] && varies[j] ? typeACorrelation(a, b) : Number.NaN)),
  );
  return {
    trials,
    coverageProbability,
    outputs: columns.map((column) => summarise(column, coverageProbability)),
    correlation,
  };
}

export const DEFAULT_MONTE_CARLO_DIGITS = 2;
export const DEFAULT_MOST_TRIALS = 10_000_000;

/** Blocks before a run may end: the scatter of two or three is known too poorly, and a run that stops where it happens to be small has not converged. */
const LEAST_BLOCKS = 10;

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
 * estimate, standard uncertainty and both interval ends are below the numerical tolerance δ; ten blocks at least, where the clause is content with two.
 * @throws RangeError as `monteCarlo`
 * @example
 * const inputs = [{ name: "x", distribution: normal(1, 0.1) }];
 * adaptiveMonteCarlo(([x]) => x, inputs, { significantDigits: 1, seed: 1 }).status // "stable"
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
    if (pieces.length < Math.min(LEAST_BLOCKS, Math.floor(mostTrials / size))) continue;
    tolerance = numericalTolerance(u, options.significantDigits ?? DEFAULT_MONTE_CARLO_DIGITS);
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
