import { createStream } from "../numeric/random-stream.js";
import { refuse } from "../numeric/refuse.js";
import { needProbability } from "./checks.js";
import { inputSampler } from "./draw-inputs.js";
import { type InputQuantity, joinInputs, type VectorModel } from "./inputs.js";
import { DEFAULT_COVERAGE_PROBABILITY } from "./law-of-propagation.js";
import { DEFAULT_SEED, DEFAULT_TRIALS, type MonteCarloOptions } from "./monte-carlo.js";
import { type OutputSummary, summarise } from "./monte-carlo-blocks.js";
import { typeACorrelation } from "./type-a.js";

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
      if (!Number.isFinite(y[i]!))
        refuse("the model gave no number in a trial", "its values must be finite", y[i], `output ${i + 1}`);
      columns[i]![k] = y[i]!;
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
