import { logNormalInterval } from "../numeric/normal-interval.js";
import { normalLogCdf } from "../numeric/normal-log-cdf.js";
import type { Reading } from "./reading.js";
import { flatLikelihood, LOG_ROOT_TWO_PI } from "./reading-loss.js";

/** An end this many standard deviations away cuts off less than 1e-18. */
const FAR = 9;

/** The log likelihood of one reading as a function of its prediction μ, mm or rad. */
export interface ReadingLikelihood {
  readonly at: (mu: number) => number;
  /** The largest it can be. */
  readonly most: number;
  /** The likelihood itself, where mistakes keep it from ever being near 0: a product of some takes one logarithm. */
  readonly likelihood: ((mu: number) => number) | null;
}

/**
 * −`mistrustfulLoss` without its derivatives, prepared once for many looks.
 *
 * @param tau standard deviation of the reading's noise, in its own unit, > 0.
 * @param share of readings that are gross mistakes, 0 ≤ share < 1.
 */
export function readingLikelihood(
  reading: Pick<Reading, "value" | "low" | "high" | "what">,
  tau: number,
  share: number,
): ReadingLikelihood {
  const { at: plain, most } = trusting(reading, tau);
  if (share === 0) return { at: plain, most, likelihood: null };
  const wide = share * flatLikelihood(reading);
  const mixed = (log: number): number => wide + (1 - share) * Math.exp(log);
  return {
    at: (mu) => Math.log(mixed(plain(mu))),
    most: Math.log(mixed(most)),
    likelihood: (mu) => mixed(plain(mu)),
  };
}

function trusting(
  { value, low, high }: Pick<Reading, "value" | "low" | "high">,
  tau: number,
): Pick<ReadingLikelihood, "at" | "most"> {
  if (value !== null) {
    const most = -Math.log(tau) - LOG_ROOT_TWO_PI;
    return { at: (mu) => most - ((mu - value) / tau) ** 2 / 2, most };
  }
  const [from, to] = [low!, high!];
  if (from === Number.NEGATIVE_INFINITY && to === Number.POSITIVE_INFINITY) return { at: () => 0, most: 0 };
  const at = (mu: number): number => {
    const [below, above] = [(from - mu) / tau, (to - mu) / tau];
    if (below < -FAR) return above > FAR ? 0 : normalLogCdf(above);
    return above > FAR ? normalLogCdf(-below) : logNormalInterval(below, above).value;
  };
  return { at, most: Number.isFinite(to - from) ? at((from + to) / 2) : 0 };
}
