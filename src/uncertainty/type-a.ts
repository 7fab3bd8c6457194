import { refuse } from "../core/errors.js";
import { at } from "../core/numeric/dense.js";

/** Type A evaluation of independent repeated readings (JCGM 100:2008, 4.2). */
export interface TypeA {
  /** Number of readings. */
  readonly readings: number;
  /** Their mean, in the unit of a reading. */
  readonly mean: number;
  /** s, experimental standard deviation of one reading, in its unit. */
  readonly standardDeviation: number;
  /** s/√n, standard uncertainty of the mean, in the unit of a reading. */
  readonly standardUncertainty: number;
  /** Degrees of freedom, n − 1: a whole number. */
  readonly degreesOfFreedom: number;
}

/**
 * Mean, standard deviation and uncertainty of the mean, two-pass with the mean's own rounding corrected, so that
 * a large common offset costs no more digits than the readings themselves have lost.
 * @throws RangeError for fewer than two readings
 * @example
 * typeA([10.1, 10.3, 10.2]).standardUncertainty // 0.05774
 */
export function typeA(readings: ArrayLike<number>): TypeA {
  const n = readings.length;
  if (n < 2) refuse("there are too few readings", "a standard deviation needs two or more", n, "typeA");
  const first = at(readings, 0);
  let shift = 0;
  for (let i = 0; i < n; i++) shift += (at(readings, i) - first) / n;
  let [rest, squares] = [0, 0];
  for (let i = 0; i < n; i++) {
    const d = at(readings, i) - first - shift;
    rest += d;
    squares += d * d;
  }
  const standardDeviation = Math.sqrt((squares - (rest * rest) / n) / (n - 1));
  return {
    readings: n,
    mean: first + (shift + rest / n),
    standardDeviation,
    standardUncertainty: standardDeviation / Math.sqrt(n),
    degreesOfFreedom: n - 1,
  };
}

/**
 * Correlation coefficient of the means of two quantities read together, pair by pair (JCGM 100, 5.2.3).
 * @throws RangeError for columns of different length, fewer than two pairs, or a column without scatter
 * @example
 * typeACorrelation([1, 2, 3], [2, 4, 6]) // 1
 */
export function typeACorrelation(a: ArrayLike<number>, b: ArrayLike<number>): number {
  if (a.length !== b.length)
    refuse(
      "the readings do not pair up",
      "both columns need one value a row",
      `${a.length} and ${b.length}`,
      "typeACorrelation",
    );
  const [first, second] = [typeA(a), typeA(b)];
  const scale = first.standardDeviation * second.standardDeviation * first.degreesOfFreedom;
  if (scale === 0)
    refuse("a column has no scatter", "a correlation needs both to vary", 0, "typeACorrelation");
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += (at(a, i) - first.mean) * (at(b, i) - second.mean);
  return Math.max(-1, Math.min(1, sum / scale));
}

/** One part of a combined uncertainty: |c·u| in the unit of the result (or any common unit), and its degrees of freedom. */
export interface UncertaintyPart {
  readonly standardUncertainty: number;
  readonly degreesOfFreedom: number;
}

/**
 * Effective degrees of freedom of a root sum of squares, ν = u⁴/Σ(uᵢ⁴/νᵢ) (JCGM 100:2008, G.2b); Infinity when no
 * part that matters has finite ones. Holds for independent parts only.
 */
export function welchSatterthwaite(parts: readonly UncertaintyPart[]): number {
  const largest = Math.max(...parts.map((part) => part.standardUncertainty), 0);
  if (largest === 0) return Infinity;
  let square = 0;
  let fourth = 0;
  for (const { standardUncertainty, degreesOfFreedom } of parts) {
    const relative = (standardUncertainty / largest) ** 2;
    square += relative;
    fourth += relative ** 2 / degreesOfFreedom;
  }
  return square ** 2 / fourth;
}

/**
 * Degrees of freedom of a standard uncertainty itself known only within the share `relativeUncertainty`:
 * ν = ½·(Δu/u)⁻² (JCGM 100, G.3): 25 % → 8.
 *
 * @example
 * degreesOfFreedomFromReliability(0.25) // 8
 */
export function degreesOfFreedomFromReliability(relativeUncertainty: number): number {
  return 0.5 / relativeUncertainty ** 2;
}
