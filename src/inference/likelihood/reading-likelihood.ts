import { normalLogCdf } from "../../core/numeric/normal.js";
import { logNormalInterval } from "../../core/numeric/normal-interval.js";
import type { Job } from "../../model/job/job.js";
import { type Instrument, isAngleReading, type Reading } from "../../model/readings.js";

// The likelihood of one reading in two forms: readingLikelihood, values only, for the sampler; mixtureLoss, with derivatives, for the mode.
// Measured values that cannot be mistakes are handled analytically in posterior/.

/** Beyond an end this many standard deviations away lies a probability of less than 1e-18. */
const FAR = 9;

/** The log likelihood of one reading as a function of its prediction μ, mm or rad. */
export interface ReadingLikelihood {
  readonly at: (mu: number) => number;
  /** Upper bound of the log likelihood. */
  readonly largest: number;
  /** The likelihood itself if the share of mistakes bounds it away from 0, so that a product of several needs only one logarithm; otherwise `null`. */
  readonly likelihood: ((mu: number) => number) | null;
}

/**
 * −`mixtureLoss` without its derivatives, prepared once for many evaluations.
 *
 * @param tau standard deviation of the reading's noise, in its own unit, > 0.
 * @param share share of readings that are gross mistakes, 0 ≤ share < 1.
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

/** The ends of the interval that a reading states; both equal the value if it has one; an end that is not stated is infinite. */
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
  const exact = (mu: number): number => {
    const [below, above] = [(from - mu) / tau, (to - mu) / tau];
    if (below < -FAR) return above > FAR ? 0 : normalLogCdf(above);
    return above > FAR ? normalLogCdf(-below) : logNormalInterval(below, above).value;
  };
  const largest = Number.isFinite(to - from) ? exact((from + to) / 2) : 0;
  return { at: tabulated(exact, from, to, tau), largest };
}

/** Spacing of the table of an interval's log likelihood, in standard deviations; the error of cubic interpolation is then below 1e-6. */
const SPACING = 1 / 8;
/** Beyond this many standard deviations from an end the function itself is evaluated. */
const TABLE_REACH = 6;
/** Maximum number of points of a table. For a wider interval the function itself is evaluated, because its table would be too long. */
const MOST_TABLE_POINTS = 4000;

/** An interval's log likelihood by cubic Hermite interpolation between its values: the sampler asks for it at every proposal. */
function tabulated(
  exact: (mu: number) => number,
  from: number,
  to: number,
  tau: number,
): (mu: number) => number {
  const low = (Number.isFinite(from) ? from : to) - TABLE_REACH * tau;
  const high = (Number.isFinite(to) ? to : from) + TABLE_REACH * tau;
  const step = SPACING * tau;
  const points = Math.ceil((high - low) / step) + 1;
  if (points > MOST_TABLE_POINTS) return exact;
  const value = Float64Array.from({ length: points }, (_, i) => exact(low + i * step));
  const slope = Float64Array.from({ length: points }, (_, i) => {
    const [lo, hi] = [(from - low) / tau - i * SPACING, (to - low) / tau - i * SPACING];
    return -SPACING * logNormalInterval(lo, hi).d1;
  });
  return (mu) => {
    const place = (mu - low) / step;
    const i = Math.floor(place);
    if (!(i >= 0 && i < points - 1)) return exact(mu);
    const t = place - i;
    const [a, b] = [value[i]!, value[i + 1]!];
    const [da, db] = [slope[i]!, slope[i + 1]!];
    const rise = b - a;
    return a + t * (da + t * (3 * rise - 2 * da - db + t * (da + db - 2 * rise)));
  };
}

/** −log likelihood of one reading as a function of its prediction μ, with its derivatives with respect to μ. */
export interface ReadingLoss {
  readonly value: number;
  readonly slope: number;
  /** ≥ 0: a normal likelihood is log-concave in μ, interval or not. */
  readonly curvature: number;
}

const LOG_ROOT_TWO_PI = Math.log(2 * Math.PI) / 2;

/**
 * Loss of a reading whose noise has standard deviation `tau` (the reading's own unit, mm or rad):
 * ½((y − μ)/τ)² + log τ√(2π) for a value, −log[Φ((high − μ)/τ) − Φ((low − μ)/τ)] for an interval, whose ends may be infinite.
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
 * the curvature is scaled in the same way and is a non-negative approximation to the true one.
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

/** Density of a value, or probability of an interval, under the uniform distribution of mistakes; an infinite end covers half of the range. */
function flatLikelihood(reading: Pick<Reading, "value" | "low" | "high" | "what">): number {
  const range = isAngleReading(reading.what) ? MISTAKE_RANGE.angle : MISTAKE_RANGE.length;
  if (reading.value !== null) return 1 / range;
  const [low, high] = endsOf(reading);
  return Number.isFinite(high - low) ? Math.min(1, (high - low) / range) : 0.5;
}

/** Lower bound of the noise, mm or rad: no instrument repeats better. */
const LEAST_NOISE = 1e-6;

/** The instrument that a reading was taken with. @throws RangeError when the job has no such instrument */
export function instrumentOf({ instruments }: Pick<Job, "instruments">, reading: Reading): Instrument {
  const instrument = instruments.find(({ name }) => name === reading.instrument);
  if (instrument) return instrument;
  throw new RangeError(`Reading ${reading.id}: there is no instrument "${reading.instrument}" in the job.`);
}

/** Variance of a reading about its prediction due to the instrument, mm² or rad²: repeatability and, for a value, the rounding to its step r (r²/12). */
export function instrumentVariance(instrument: Instrument, reading: Pick<Reading, "value">): number {
  const step = reading.value === null ? 0 : (instrument.resolution ?? 0);
  return Math.max(instrument.repeatability ** 2 + step ** 2 / 12, LEAST_NOISE ** 2);
}
