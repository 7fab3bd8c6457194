import { refuse } from "../core/errors.js";
import { at } from "../core/numeric/dense.js";
import { semidefiniteFactor } from "../core/numeric/linear-algebra.js";
import type { RandomStream } from "../core/numeric/random-stream.js";
import type { Distribution } from "./distributions.js";

/** The measurement model Y = f(X₁, …, X_N): values of the inputs, in their order and each in its own unit, to a value of the output. */
export type Model = (x: Float64Array) => number;
/** A model with several outputs, each in its own unit. */
export type VectorModel = (x: Float64Array) => ArrayLike<number>;

/** An input quantity: what it is called in budgets, and what is known of it. */
export interface InputQuantity {
  readonly name: string;
  readonly distribution: Distribution;
}

/** Correlation coefficient of two inputs, by name, −1 ≤ r ≤ 1. Pairs not given are uncorrelated. */
export interface Correlation {
  readonly between: readonly [string, string];
  /** Correlation coefficient, −1 to 1. */
  readonly coefficient: number;
}

/** The inputs taken together, checked. */
export interface JointInputs {
  readonly names: readonly string[];
  readonly distributions: readonly Distribution[];
  readonly estimates: Float64Array;
  readonly standardUncertainties: Float64Array;
  readonly degreesOfFreedom: Float64Array;
  /** Correlation matrix, row-major. */
  readonly correlation: Float64Array;
  /** Lower triangular F with F·Fᵀ = the covariance matrix, row-major. */
  readonly factor: Float64Array;
  /** Whether input i is correlated with any other. */
  readonly correlated: readonly boolean[];
}

/**
 * Checks names and correlations and gathers what every method needs.
 * @throws RangeError for no inputs, a name used twice or unknown, a pair given twice, |r| > 1, or coefficients that no
 * joint distribution can have
 */
export function joinInputs(
  inputs: readonly InputQuantity[],
  correlations: readonly Correlation[] = [],
): JointInputs {
  const names = inputs.map((input) => input.name);
  if (names.length === 0) refuse("there are no inputs", "a model needs at least one", 0, "joinInputs");
  for (const [i, name] of names.entries())
    if (names.indexOf(name) !== i)
      refuse("an input's name is used twice", "names must differ", name, "inputs");
  const distributions = inputs.map((input) => input.distribution);
  const u = Float64Array.from(distributions, (d) => d.standardUncertainty);
  const correlation = correlationMatrix(names, correlations);
  const n = names.length;
  const factor = semidefiniteFactor(correlation, n);
  if (factor === null)
    refuse(
      "these correlations contradict each other",
      "their matrix must be positive semidefinite",
      names,
      "correlations",
    );
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) factor[i * n + j]! *= at(u, i);
  return {
    names,
    distributions,
    estimates: Float64Array.from(distributions, (d) => d.estimate),
    standardUncertainties: u,
    degreesOfFreedom: Float64Array.from(distributions, (d) => d.degreesOfFreedom),
    correlation,
    factor,
    correlated: names.map((_, i) => names.some((_, j) => i !== j && correlation[i * n + j] !== 0)),
  };
}

function correlationMatrix(names: readonly string[], correlations: readonly Correlation[]): Float64Array {
  const n = names.length;
  const matrix = new Float64Array(n * n);
  for (let i = 0; i < n; i++) matrix[i * n + i] = 1;
  const given = new Set<number>();
  for (const { between, coefficient } of correlations) {
    const [i, j] = between.map((name) => {
      const index = names.indexOf(name);
      if (index < 0)
        refuse("a correlation names no input", `one of ${names.join(", ")}`, name, "correlations");
      return index;
    }) as [number, number];
    if (i === j) refuse("an input is correlated with itself", "name two inputs", names[i], "correlations");
    if (!(Math.abs(coefficient) <= 1))
      refuse("a correlation coefficient is out of range", "−1 ≤ r ≤ 1", coefficient, between.join(" with "));
    const key = Math.min(i, j) * n + Math.max(i, j);
    if (given.has(key))
      refuse("a correlation is given twice", "give each pair once", between, "correlations");
    given.add(key);
    matrix[i * n + j] = coefficient;
    matrix[j * n + i] = coefficient;
  }
  return matrix;
}

/** Writes one random draw of all inputs into `x`. */
export type InputSampler = (stream: RandomStream, x: Float64Array) => void;

/**
 * Draws the inputs as JCGM 101:2008, 6.4 says: each from its own distribution; those that are correlated from a
 * multivariate normal (6.4.8).
 * @throws RangeError when a correlated input is not normal: a coefficient alone does not make a joint distribution
 */
export function inputSampler(joint: JointInputs): InputSampler {
  const { names, distributions, estimates, factor, correlated } = joint;
  const n = names.length;
  const together = names.map((_, i) => i).filter((i) => correlated[i]);
  for (const i of together)
    if (at(distributions, i).kind !== "normal")
      refuse(
        "a correlated input is not normal",
        "Monte Carlo needs a joint distribution, which a coefficient gives for normal inputs only",
        at(distributions, i).kind,
        at(names, i),
      );
  const alone = names.map((_, i) => i).filter((i) => !correlated[i]);
  const draws = alone.map((i) => at(distributions, i));
  const z = new Float64Array(n);
  return (stream, x) => {
    for (let k = 0; k < alone.length; k++) x[at(alone, k)] = at(draws, k).draw(stream);
    for (const i of together) z[i] = stream.normal();
    for (const i of together) {
      let sum = at(estimates, i);
      for (const k of together) {
        if (k > i) break;
        sum += at(factor, i * n + k) * at(z, k);
      }
      x[i] = sum;
    }
  };
}
