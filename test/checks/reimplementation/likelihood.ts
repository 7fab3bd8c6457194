import type { Instrument, Reading } from "./shop.js";

const LOG_ROOT_TWO_PI = Math.log(2 * Math.PI) / 2;
const logDensity = (x: number): number => -(x * x) / 2 - LOG_ROOT_TWO_PI;

/** From here on the tail is a continued fraction, before it a power series. */
const TAIL = 4;

/** log of the probability that a standard normal number is above x ≥ 0. */
function logTail(x: number): number {
  if (x === Number.POSITIVE_INFINITY) return Number.NEGATIVE_INFINITY;
  if (x < TAIL) return Math.log(0.5 - seriesTo(x));
  let fraction = x;
  for (let k = 60; k >= 1; k--) fraction = x + k / fraction;
  return logDensity(x) - Math.log(fraction);
}

/** Probability between 0 and x: φ(x)·(x + x³/3 + x⁵/15 + …). */
function seriesTo(x: number): number {
  let [term, sum] = [x, x];
  for (let k = 3; Math.abs(term) > 1e-17 * Math.abs(sum); k += 2) {
    term *= (x * x) / k;
    sum += term;
  }
  return Math.exp(logDensity(x)) * sum;
}

/** log[Φ(b) − Φ(a)], a < b; either may be infinite. */
export function logBetween(a: number, b: number): number {
  if (a > 0) return logBetween(-b, -a);
  if (b > 0) {
    const above = Math.exp(logTail(b));
    return Math.log1p(-above - Math.exp(logTail(-a)));
  }
  const [more, less] = [logTail(-b), logTail(-a)];
  return more + Math.log1p(-Math.exp(less - more));
}

const RANGE = { length: 1, angle: (10 * Math.PI) / 180 };
const LEAST_NOISE = 1e-6;

/** log likelihood of a reading at the expectation μ, and its slope by μ. */
export type Density = (mu: number) => { readonly log: number; readonly slope: number };

export function densityOf(reading: Reading, { step, repeatability }: Instrument, mistakes: number): Density {
  const { value, low, high, what } = reading;
  const variance = repeatability ** 2 + (value === null ? 0 : step ** 2 / 12);
  const tau = Math.max(Math.sqrt(variance), LEAST_NOISE);
  const plain: Density = (mu) => {
    if (value !== null) {
      const off = (value - mu) / tau;
      return { log: logDensity(off) - Math.log(tau), slope: off / tau };
    }
    const [a, b] = [(low - mu) / tau, (high - mu) / tau];
    const log = logBetween(a, b);
    const at = (x: number): number => (Number.isFinite(x) ? Math.exp(logDensity(x) - log) : 0);
    return { log, slope: (at(a) - at(b)) / tau };
  };
  if (mistakes === 0) return plain;
  const range = what === "angle" || what === "ramp" ? RANGE.angle : RANGE.length;
  const width = high - low;
  const flat = value !== null ? 1 / range : Number.isFinite(width) ? Math.min(1, width / range) : 0.5;
  return (mu) => {
    const { log, slope } = plain(mu);
    const good = (1 - mistakes) * Math.exp(log);
    const all = good + mistakes * flat;
    return { log: Math.log(all), slope: (slope * good) / all };
  };
}
