import { logNormalInterval } from "../numeric/normal-interval.js";
import { normalLogCdf } from "../numeric/normal-log-cdf.js";
import type { Reading } from "./reading.js";
import { flatLikelihood, LOG_ROOT_TWO_PI } from "./reading-loss.js";

/** An end this many standard deviations away cuts off less than 1e-18. */
const FAR = 9;

/**
 * The log likelihood of one reading as a function of its prediction μ (mm or rad): −`mistrustfulLoss` without its derivatives, prepared once for many looks.
 *
 * @param tau standard deviation of the reading's noise, in its own unit, > 0.
 * @param share of readings that are gross mistakes, 0 ≤ share < 1.
 */
export function readingLikelihood(
  reading: Pick<Reading, "value" | "low" | "high" | "what">,
  tau: number,
  share: number,
): (mu: number) => number {
  const plain = trusting(reading, tau);
  if (share === 0) return plain;
  const wide = share * flatLikelihood(reading);
  return (mu) => Math.log(wide + (1 - share) * Math.exp(plain(mu)));
}

function trusting(
  { value, low, high }: Pick<Reading, "value" | "low" | "high">,
  tau: number,
): (mu: number) => number {
  if (value !== null) {
    const top = -Math.log(tau) - LOG_ROOT_TWO_PI;
    return (mu) => top - ((mu - value) / tau) ** 2 / 2;
  }
  const [from, to] = [low!, high!];
  if (from === Number.NEGATIVE_INFINITY && to === Number.POSITIVE_INFINITY) return () => 0;
  return (mu) => {
    const [below, above] = [(from - mu) / tau, (to - mu) / tau];
    if (below < -FAR) return above > FAR ? 0 : normalLogCdf(above);
    return above > FAR ? normalLogCdf(-below) : logNormalInterval(below, above).value;
  };
}
