import { refuse } from "../core/errors.js";
import { at } from "../core/numeric/dense.js";
import { createStreams } from "../core/numeric/random-stream.js";
import { tQuantile } from "../core/numeric/student-t.js";
import { needProbability } from "./distributions.js";
import { type InputQuantity, joinInputs, type Model } from "./inputs.js";
import { percent } from "./monte-carlo-blocks.js";
import { MOST_DIMENSIONS, scrambledSobol } from "./sobol-points.js";
import { typeA } from "./type-a.js";

export const DEFAULT_POINTS = 1024;
export const DEFAULT_REPLICATES = 16;
export const DEFAULT_CONFIDENCE = 0.95;
/** Each input takes two dimensions of the sequence. */
export const MOST_SENSITIVITY_INPUTS = Math.floor(MOST_DIMENSIONS / 2);

/** How many points the indices are worked out from. */
export interface SensitivityOptions {
  /** Number of points a replicate, N, a power of two from 16; default 1024. The model is evaluated N·(inputs + 2)·replicates times. */
  readonly points?: number;
  /** Number of independent scramblings, from 4; default 16. */
  readonly replicates?: number;
  /** Confidence of the bounds, 0 < p < 1; default 0.95, for each index by itself. */
  readonly confidence?: number;
  /** Seed, whole, ≥ 0; default 1. */
  readonly seed?: number;
}

/** An index with its confidence bounds, which may reach beyond 0 or 1 by sampling error. */
export interface SensitivityIndex {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** What one input brings to the variance. */
export interface SensitivityLine {
  readonly name: string;
  /** Share of the variance that would go if this input alone were known. */
  readonly first: SensitivityIndex;
  /** Share of the variance that would remain if all other inputs were known: first order and all interactions. */
  readonly total: SensitivityIndex;
}

/** Shares of the variance of an output that its inputs bring, each by itself and with the others. */
export interface SensitivityIndices {
  readonly status: "estimated" | "constant";
  readonly sentence: string;
  /** Mean of the output, in its unit, and its variance, in the unit squared. */
  readonly estimate: number;
  readonly variance: number;
  /** Confidence of the bounds, 0 to 1 (a probability). */
  readonly confidence: number;
  /** Number of times the model was evaluated. */
  readonly evaluations: number;
  /** Largest total index first. */
  readonly lines: readonly SensitivityLine[];
}

/**
 * Variance-based sensitivity indices, first and total order, of a model with independent inputs.
 *
 * Estimators: first order of A. Saltelli et al. (Comput. Phys. Commun. 181, 2010), total order of M. J. W. Jansen (1999),
 * on scrambled Sobol' points. Bounds: Student's t over independent scramblings, so they cover sampling error as measured,
 * not as assumed.
 * @throws RangeError for more than {@link MOST_SENSITIVITY_INPUTS} inputs, or options out of range
 * @example
 * const inputs = [
 *   { name: "x", distribution: normal(0, 1) },
 *   { name: "y", distribution: normal(0, 3) },
 * ];
 * sensitivityIndices(([x, y]) => x + y, inputs, { points: 256, seed: 1 }).status // "estimated"
 */
export function sensitivityIndices(
  model: Model,
  inputs: readonly InputQuantity[],
  options: SensitivityOptions = {},
): SensitivityIndices {
  const {
    points = DEFAULT_POINTS,
    replicates = DEFAULT_REPLICATES,
    confidence = DEFAULT_CONFIDENCE,
  } = options;
  needProbability(confidence, "the confidence", "sensitivityIndices");
  if (!(Number.isInteger(Math.log2(points)) && points >= 16 && points <= 2 ** 24))
    refuse("the number of points is out of range", "a power of two, 16 … 2²⁴", points, "sensitivityIndices");
  if (!(Number.isInteger(replicates) && replicates >= 4))
    refuse("there are too few replicates", "at least 4, for their scatter", replicates, "sensitivityIndices");
  if (inputs.length > MOST_SENSITIVITY_INPUTS)
    refuse(
      "there are too many inputs",
      `at most ${MOST_SENSITIVITY_INPUTS}`,
      inputs.length,
      "sensitivityIndices",
    );
  const { names, distributions } = joinInputs(inputs);
  const n = names.length;
  const runs = createStreams(options.seed ?? 1, replicates).map((stream) => {
    const sequence = scrambledSobol(2 * n, stream);
    const point = new Float64Array(2 * n);
    const draw = (a: Float64Array, b: Float64Array): void => {
      sequence.next(point);
      for (let i = 0; i < n; i++) {
        a[i] = at(distributions, i).quantile(at(point, i));
        b[i] = at(distributions, i).quantile(at(point, n + i));
      }
    };
    return replicate(model, draw, n, points);
  });
  const evaluations = points * (n + 2) * replicates;
  const estimate = typeA(runs.map((run) => run.mean)).mean;
  const variance = typeA(runs.map((run) => run.variance)).mean;
  const constant = !(variance > 0);
  const index = (pick: (run: Replicate) => number): SensitivityIndex => {
    if (constant) return { value: 0, low: 0, high: 0 };
    const { mean, standardUncertainty, degreesOfFreedom } = typeA(
      runs.map((run) => pick(run) / run.variance),
    );
    const margin = standardUncertainty * tQuantile((1 + confidence) / 2, degreesOfFreedom);
    return { value: mean, low: mean - margin, high: mean + margin };
  };
  const lines = names
    .map((name, i) => ({
      name,
      first: index((run) => at(run.first, i)),
      total: index((run) => at(run.total, i)),
    }))
    .sort((a, b) => b.total.value - a.total.value);
  return {
    status: constant ? "constant" : "estimated",
    sentence: sentenceOf(lines, constant),
    estimate,
    variance,
    confidence,
    evaluations,
    lines,
  };
}

interface Replicate {
  readonly mean: number;
  readonly variance: number;
  /** Variance that input i explains alone, and that remains with all others known. */
  readonly first: Float64Array;
  readonly total: Float64Array;
}

function replicate(
  model: Model,
  draw: (a: Float64Array, b: Float64Array) => void,
  n: number,
  points: number,
): Replicate {
  const [a, b, mixed] = [new Float64Array(n), new Float64Array(n), new Float64Array(n)];
  const both = new Float64Array(2 * points);
  const changes = new Float64Array(points * n); // f with input i taken from b, minus f at a
  for (let k = 0; k < points; k++) {
    draw(a, b);
    both[2 * k] = value(model, a);
    both[2 * k + 1] = value(model, b);
    for (let i = 0; i < n; i++) {
      mixed.set(a);
      mixed[i] = at(b, i);
      changes[k * n + i] = value(model, mixed) - at(both, 2 * k);
    }
  }
  const { mean, standardDeviation } = typeA(both);
  const first = new Float64Array(n);
  const total = new Float64Array(n);
  for (let k = 0; k < points; k++) {
    for (let i = 0; i < n; i++) {
      const change = at(changes, k * n + i);
      first[i]! += ((at(both, 2 * k + 1) - mean) * change) / points;
      total[i]! += (change * change) / (2 * points);
    }
  }
  return { mean, variance: standardDeviation ** 2, first, total };
}

function value(model: Model, x: Float64Array): number {
  const y = model(x);
  if (!Number.isFinite(y))
    refuse("the model gave no number", "its value must be finite", y, `point ${x.join(", ")}`);
  return y;
}

function sentenceOf(lines: readonly SensitivityLine[], constant: boolean): string {
  if (constant) return "The output does not vary: no input matters.";
  const [top] = lines;
  const widest = Math.max(
    ...lines.flatMap(({ first, total }) => [first.high - first.low, total.high - total.low]),
  );
  const alone = lines.reduce((sum, line) => sum + line.first.value, 0);
  return `${top!.name} matters most: ${percent(top!.first.value)} of the variance alone, ${percent(top!.total.value)} with interactions. All inputs alone explain ${percent(alone)}. Bounds are ±${percent(widest / 2)} or tighter.`;
}
