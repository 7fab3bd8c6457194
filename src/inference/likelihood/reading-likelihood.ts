import { normalLogCdf } from "../../core/numeric/normal.js";
import { logNormalInterval } from "../../core/numeric/normal-interval.js";
import type { Job } from "../../model/job/job.js";
import type { Instrument, Reading } from "../../model/readings.js";

// The likelihood of one reading, twice: readingLikelihood, values only, for the sampler; mixtureLoss, with derivatives, for the mode.
// Measured values without mistakes are handled analytically in posterior/.

/** An end this many standard deviations away cuts off less than 1e-18. */
const FAR = 9;

/** The log likelihood of one reading as a function of its prediction μ, mm or rad. */
export interface ReadingLikelihood {
  readonly at: (mu: number) => number;
  /** Its upper bound. */
  readonly largest: number;
  /** The likelihood itself where the share of mistakes bounds it away from 0, so that a product of several takes one logarithm; else `null`. */
  readonly likelihood: ((mu: number) => number) | null;
}

/**
 * −`mixtureLoss` without its derivatives, prepared once for many evaluations.
 *
 * @param tau standard deviation of the reading's noise, in its own unit, > 0.
 * @param share of readings that are gross mistakes, 0 ≤ share < 1.
 */
export function readingLikelihood(
  reading: Pick<Reading, "value" | "low" | "high" | "what">,
  tau: number,
  share: number,
): ReadingLikelihood {
  const { at: plain, largest } = withoutMistakes(reading, tau);
  if (share === 0) return { at: plain, largest, likelihood: null };
  const wide = share * flatLikelihood(reading);
  const mixed = (log: number): number => wide + (1 - share) * Math.exp(log);
  return {
    at: (mu) => Math.log(mixed(plain(mu))),
    largest: Math.log(mixed(largest)),
    likelihood: (mu) => mixed(plain(mu)),
  };
}

/** The ends of the interval that a reading states; both are the value where it shows one, and infinite where nothing is stated. */
export function endsOf({ value, low, high }: Pick<Reading, "value" | "low" | "high">): [number, number] {
  if (value !== null) return [value, value];
  return [low ?? Number.NEGATIVE_INFINITY, high ?? Number.POSITIVE_INFINITY];
}

function withoutMistakes(
  reading: Pick<Reading, "value" | "low" | "high">,
  tau: number,
): Pick<ReadingLikelihood, "at" | "largest"> {
  const { value } = reading;
  if (value !== null) {
    const largest = -Math.log(tau) - LOG_ROOT_TWO_PI;
    return { at: (mu) => largest - ((mu - value) / tau) ** 2 / 2, largest };
  }
  const [from, to] = endsOf(reading);
  if (from === Number.NEGATIVE_INFINITY && to === Number.POSITIVE_INFINITY)
    return { at: () => 0, largest: 0 };
  const at = (mu: number): number => {
    const [below, above] = [(from - mu) / tau, (to - mu) / tau];
    if (below < -FAR) return above > FAR ? 0 : normalLogCdf(above);
    return above > FAR ? normalLogCdf(-below) : logNormalInterval(below, above).value;
  };
  return { at, largest: Number.isFinite(to - from) ? at((from + to) / 2) : 0 };
}

/** −log likelihood of one reading as a function of its prediction μ, with its derivatives by μ. */
export interface ReadingLoss {
  readonly value: number;
  readonly slope: number;
  /** ≥ 0: a normal likelihood is log-concave in μ, interval or not. */
  readonly curvature: number;
}

const LOG_ROOT_TWO_PI = Math.log(2 * Math.PI) / 2;

/**
 * Loss of a reading whose noise has standard deviation `tau` (the reading's own unit, mm or rad):
 * ½((y − μ)/τ)² + log τ√(2π) for a value, −log[Φ((high − μ)/τ) − Φ((low − μ)/τ)] for an interval, either end of which may be open.
 */
export function readingLoss(
  reading: Pick<Reading, "value" | "low" | "high">,
  mu: number,
  tau: number,
): ReadingLoss {
  if (reading.value !== null) {
    const z = (mu - reading.value) / tau;
    return { value: (z * z) / 2 + Math.log(tau) + LOG_ROOT_TWO_PI, slope: z / tau, curvature: 1 / tau ** 2 };
  }
  const [low, high] = endsOf(reading);
  const { value, d1, d2 } = logNormalInterval((low - mu) / tau, (high - mu) / tau);
  return { value: -value, slope: d1 / tau, curvature: -d2 / tau ** 2 };
}

/** A gross mistake is uniform over a range of this width, mm or rad. */
const MISTAKE_RANGE = { length: 1, angle: (10 * Math.PI) / 180 };

/**
 * Loss of a reading under a mixture with a known share of gross mistakes: −log[(1 − share)·likelihood + share·uniform].
 * The slope is that of `readingLoss` times the probability that the reading is good, so an outlying reading has almost no influence;
 * the curvature likewise, a non-negative approximation to the true one.
 */
export function mixtureLoss(
  reading: Pick<Reading, "value" | "low" | "high" | "what">,
  mu: number,
  tau: number,
  share: number,
): ReadingLoss & { readonly good: number } {
  const plain = readingLoss(reading, mu, tau);
  if (share === 0) return { value: plain.value, slope: plain.slope, curvature: plain.curvature, good: 1 };
  const wide = Math.log(share) + Math.log(flatLikelihood(reading));
  const honest = Math.log1p(-share) - plain.value;
  const top = Math.max(wide, honest);
  const total = top + Math.log(Math.exp(wide - top) + Math.exp(honest - top));
  const good = Math.exp(honest - total);
  return { value: -total, slope: good * plain.slope, curvature: good * plain.curvature, good };
}

/** Density of a value, or probability of an interval, under the uniform distribution of mistakes; an open end takes half of it. */
function flatLikelihood(reading: Pick<Reading, "value" | "low" | "high" | "what">): number {
  const range = reading.what === "angle" ? MISTAKE_RANGE.angle : MISTAKE_RANGE.length;
  if (reading.value !== null) return 1 / range;
  const [low, high] = endsOf(reading);
  return Number.isFinite(high - low) ? Math.min(1, (high - low) / range) : 0.5;
}

/** A noise below this is taken as this, mm or rad: no instrument repeats better. */
const LEAST_NOISE = 1e-6;

/** The instrument that a reading was taken with. @throws RangeError when the job has no such instrument */
export function instrumentOf({ instruments }: Pick<Job, "instruments">, reading: Reading): Instrument {
  const instrument = instruments.find(({ name }) => name === reading.instrument);
  if (instrument) return instrument;
  throw new RangeError(`Reading ${reading.id}: there is no instrument "${reading.instrument}" in the job.`);
}

/** Variance of a reading about its prediction that the instrument itself brings: repeatability, and for a value the width of its step (r²/12). */
export function instrumentVariance(instrument: Instrument, reading: Pick<Reading, "value">): number {
  const step = reading.value === null ? 0 : (instrument.resolution ?? 0);
  return Math.max(instrument.repeatability ** 2 + step ** 2 / 12, LEAST_NOISE ** 2);
}
