import { choleskyInPlace, choleskySolveInPlace } from "../../../src/core/numeric/linear-algebra.js";
import { type Minimum, minimiseTerms, type Terms } from "../../../src/core/numeric/minimise-terms.js";
import { readingLoss } from "../../../src/inference/likelihood/reading-likelihood.js";

/** An observation y = Σ x·β + σ·e, e normal, of which nothing is seen below `floor`: where `y` is null it lies there. */
export interface CensoredObservation {
  readonly y: number | null;
  readonly x: readonly number[];
}

export interface CensoredFit {
  /** β, then log σ. */
  readonly estimates: Float64Array;
  /** From the observed information. */
  readonly standardErrors: Float64Array;
  readonly logLikelihood: number;
  readonly minimum: Minimum;
}

/**
 * Regression censored from below by maximum likelihood, out of the project's solver and its loss of a reading. It is solved in δ = β/σ and θ = 1/σ, in which
 * every term is convex in one combination of the unknowns (R. J. Olsen, Econometrica 46, 1978), and reported in β and log σ.
 */
export function fitCensoredLine(observations: readonly CensoredObservation[], floor = 0): CensoredFit {
  const p = observations[0]!.x.length;
  const seen = observations.filter(({ y }) => y !== null).length;
  const evaluate = (unknowns: Float64Array): Terms => {
    const theta = unknowns[p]!;
    const losses = observations.map(({ y, x }) => {
      const at = theta * (y ?? floor);
      const mu = x.reduce((sum, value, j) => sum + value * unknowns[j]!, 0) - at;
      return readingLoss(asReading(y === null ? null : 0, 0), mu, 1);
    });
    // The observations seen have −log θ each, a term of its own.
    const value = losses.reduce((sum, loss) => sum + loss.value, 0) - seen * Math.log(theta);
    return {
      value,
      slope: Float64Array.of(...losses.map(({ slope }) => slope), -seen / theta),
      curvature: Float64Array.of(...losses.map(({ curvature }) => curvature), seen / theta ** 2),
      jacobian: Float64Array.from([
        ...observations.flatMap(({ y, x }) => [...x, -(y ?? floor)]),
        ...new Array<number>(p).fill(0),
        1,
      ]),
    };
  };
  const minimum = minimiseTerms(evaluate, [...new Array<number>(p).fill(0), 1]);
  const sigma = 1 / minimum.x[p]!;
  const estimates = minimum.x.map((value, j) => (j < p ? value * sigma : Math.log(sigma)));
  return {
    estimates,
    standardErrors: standardErrors(informationAt(observations, floor, estimates), p + 1),
    logLikelihood: logLikelihood(observations, floor, estimates),
    minimum,
  };
}

const asReading = (value: number | null, floor: number) =>
  value === null
    ? { value: null, low: Number.NEGATIVE_INFINITY, high: floor }
    : { value, low: null, high: null };

/** At β and log σ, straight from the loss of a reading. */
export function logLikelihood(
  observations: readonly CensoredObservation[],
  floor: number,
  estimates: Float64Array,
): number {
  return -lossesAt(observations, floor, estimates).reduce((sum, { loss }) => sum + loss.value, 0);
}

function lossesAt(observations: readonly CensoredObservation[], floor: number, estimates: Float64Array) {
  const p = estimates.length - 1;
  const sigma = Math.exp(estimates[p]!);
  return observations.map(({ y, x }) => {
    const mu = x.reduce((sum, value, j) => sum + value * estimates[j]!, 0);
    return { x, sigma, z: ((y ?? floor) - mu) / sigma, loss: readingLoss(asReading(y, floor), mu, sigma) };
  });
}

/**
 * Second derivatives of −log L by β and log σ, row-major. A loss is F(z), z = (y − μ)/σ, and for an observation that is seen log σ besides: with F′ and F″ from the
 * loss's slope and curvature by μ, those by log σ are zF″ + F′ (over σ, mixed with μ) and z²F″ + zF′.
 */
function informationAt(
  observations: readonly CensoredObservation[],
  floor: number,
  estimates: Float64Array,
): Float64Array {
  const n = estimates.length;
  const out = new Float64Array(n * n);
  for (const { x, sigma, z, loss } of lossesAt(observations, floor, estimates)) {
    const [first, second] = [-sigma * loss.slope, sigma ** 2 * loss.curvature];
    const mixed = (z * second + first) / sigma;
    for (let i = 0; i < n - 1; i++) {
      for (let j = 0; j < n - 1; j++) out[i * n + j]! += loss.curvature * x[i]! * x[j]!;
      out[i * n + n - 1]! += mixed * x[i]!;
      out[(n - 1) * n + i]! += mixed * x[i]!;
    }
    out[n * n - 1]! += z * z * second + z * first;
  }
  return out;
}

function standardErrors(information: Float64Array, n: number): Float64Array {
  const factor = information.slice();
  if (!choleskyInPlace(factor, n)) return new Float64Array(n).fill(Number.NaN);
  return Float64Array.from({ length: n }, (_, i) => {
    const unit = new Float64Array(n);
    unit[i] = 1;
    choleskySolveInPlace(factor, n, unit);
    return Math.sqrt(unit[i]!);
  });
}
