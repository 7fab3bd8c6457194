import { refuse } from "../core/errors.js";
import { at } from "../core/numeric/dense.js";
import type { RandomStream } from "../core/numeric/random-stream.js";
import type { InputSampler, Model } from "./inputs.js";
import { typeA } from "./type-a.js";

/** What a set of output values says; `standardErrors` of a set of blocks has the same shape. */
export interface OutputSummary {
  /** Mean, standard deviation and the ends of both coverage intervals, all in the output's unit. */
  readonly estimate: number;
  readonly standardUncertainty: number;
  readonly symmetric: Interval;
  readonly shortest: Interval;
}

/** Mean, standard deviation and both coverage intervals of output values; sorts them in place. */
export function summarise(values: Float64Array, coverageProbability: number): OutputSummary {
  const { mean, standardDeviation } = typeA(values);
  values.sort();
  return {
    estimate: mean,
    standardUncertainty: standardDeviation,
    symmetric: symmetricInterval(values, coverageProbability),
    shortest: shortestInterval(values, coverageProbability),
  };
}

/** Size of a block of trials: the larger of 10⁴ and 100/(1 − p) (JCGM 101:2008, 7.9.4 b). */
export const blockSize = (coverageProbability: number): number =>
  Math.max(10_000, Math.ceil(100 / (1 - coverageProbability) - 1e-9));

/** Evaluates the model `count` times on fresh draws. */
export function runTrials(
  model: Model,
  sampler: InputSampler,
  stream: RandomStream,
  inputs: number,
  count: number,
): Float64Array {
  const x = new Float64Array(inputs);
  const values = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    sampler(stream, x);
    const y = model(x);
    if (!Number.isFinite(y))
      refuse(
        "the model gave no number in a trial",
        "its value must be finite",
        y,
        `trial with inputs ${x.join(", ")}`,
      );
    values[k] = y;
  }
  return values;
}

/**
 * Standard errors of all summary values of the blocks taken together, from their scatter over blocks (JCGM 101:2008, 7.9.4 f–h).
 *
 * The ends of a shortest interval converge with the cube root of the number of trials only (as the mode of a sample does: H. Chernoff, 1964, from memory), so their scatter over h blocks
 * is divided by ∛h, not by √h. Measured on normal, triangular, χ² and cubed normal outputs this is right within a third; where an end lies at the edge of the distribution it is too large.
 */
export function blockErrors(blocks: readonly OutputSummary[]): OutputSummary {
  const scatter = (pick: (block: OutputSummary) => number): number =>
    typeA(blocks.map(pick)).standardDeviation;
  const error = (pick: (block: OutputSummary) => number): number => scatter(pick) / Math.sqrt(blocks.length);
  const slowError = (pick: (block: OutputSummary) => number): number =>
    scatter(pick) / Math.cbrt(blocks.length);
  return {
    estimate: error((b) => b.estimate),
    standardUncertainty: error((b) => b.standardUncertainty),
    symmetric: [error((b) => b.symmetric[0]), error((b) => b.symmetric[1])],
    shortest: [slowError((b) => b.shortest[0]), slowError((b) => b.shortest[1])],
  };
}

/** A probability interval, in the unit of the result. */
export type Interval = readonly [low: number, high: number];

/** Number q of steps between the ends for coverage probability p, rounded as JCGM 101:2008, 7.7.1 says. */
function span(sorted: ArrayLike<number>, p: number): number {
  const m = sorted.length;
  const q = Math.floor(p * m + 0.5);
  if (!(q >= 1 && q < m))
    refuse(
      "there are too few values for this coverage",
      "1 ≤ p·M < M",
      `${m} values, p = ${p}`,
      "coverageInterval",
    );
  return q;
}

/**
 * Probabilistically symmetric coverage interval of `sorted` values (ascending): equal probability left out at both ends
 * (JCGM 101:2008, 7.7.2).
 */
export function symmetricInterval(sorted: ArrayLike<number>, p: number): Interval {
  const q = span(sorted, p);
  const r = Math.floor((sorted.length - q + 1) / 2);
  return [at(sorted, r - 1), at(sorted, r + q - 1)];
}

/** Shortest coverage interval of `sorted` values (ascending) (JCGM 101:2008, 7.7.4); of equally short ones the lowest. */
export function shortestInterval(sorted: ArrayLike<number>, p: number): Interval {
  const q = span(sorted, p);
  let best = 0;
  for (let r = 1; r + q < sorted.length; r++)
    if (at(sorted, r + q) - at(sorted, r) < at(sorted, best + q) - at(sorted, best)) best = r;
  return [at(sorted, best), at(sorted, best + q)];
}

/**
 * Numerical tolerance δ of a standard uncertainty when `digits` of its significant digits are meaningful
 * (JCGM 101:2008, 7.9.2): write u = c·10ˡ with c a whole number of that many digits; δ = ½·10ˡ.
 * @throws RangeError when u is not positive and finite or digits not 1, 2, 3 or 4
 */
export function numericalTolerance(standardUncertainty: number, digits: number): number {
  if (!(standardUncertainty > 0 && standardUncertainty < Infinity))
    refuse(
      "this uncertainty has no significant digits",
      "it must be positive",
      standardUncertainty,
      "numericalTolerance",
    );
  if (!(Number.isInteger(digits) && digits >= 1 && digits <= 4))
    refuse("the number of significant digits is out of range", "1 to 4", digits, "numericalTolerance");
  const exponent = Number(standardUncertainty.toExponential(digits - 1).split("e")[1]);
  return 0.5 * 10 ** (exponent - digits + 1);
}

/** `value` with `digits` significant digits, for a sentence; plain where that is short, else with a power of ten. */
export function significant(value: number, digits = 3): string {
  if (!Number.isFinite(value)) return String(value);
  if (value === 0) return "0";
  const size = Math.floor(Math.log10(Math.abs(value)));
  if (size < -5 || size > 9) return value.toExponential(digits - 1);
  return size >= digits ? String(Math.round(value)) : String(Number(value.toPrecision(digits)));
}

export const percent = (share: number): string => `${significant(100 * share, 3)} %`;
