import { normalCdf } from "../numeric/normal-cdf.js";
import { normalQuantile } from "../numeric/normal-quantile.js";
import type { Reading } from "../readings/reading.js";
import type { SourceFit } from "./fit-sources.js";

/** One reading against what the fit expects; rad or mm. */
export interface ResidualRow {
  readonly reading: Reading;
  readonly expected: number;
  /** Standard deviation of the reading about it. */
  readonly deviation: number;
  /** Standardised residual: (value − expected)/deviation; for an interval, the normal quantile of its middle probability. */
  readonly residual: number;
  readonly outlier: boolean;
}

/** A reading this many standard deviations away is named. */
const OUTLYING = 3;
/** Probabilities are kept this far from 0 and 1. */
const LEAST = 1e-12;

export function residualsOf({ likelihood, best }: Pick<SourceFit, "likelihood" | "best">): ResidualRow[] {
  const { mu, tau } = best.expectation;
  return likelihood.readings.map((reading, i) => {
    const residual = standardised(reading, mu[i]!, tau[i]!);
    return {
      ...{ reading, residual },
      expected: mu[i]!,
      deviation: tau[i]!,
      outlier: distance(reading, mu[i]!, tau[i]!) > OUTLYING,
    };
  });
}

function standardised({ value, low, high }: Reading, mu: number, tau: number): number {
  if (value !== null) return (value - mu) / tau;
  const below = normalCdf((low! - mu) / tau);
  const within = normalCdf((high! - mu) / tau);
  const middle = Math.min(1 - LEAST, Math.max(LEAST, (below + within) / 2));
  return normalQuantile(middle);
}

/** How far outside the reading the expectation lies, in standard deviations. */
function distance({ value, low, high }: Reading, mu: number, tau: number): number {
  if (value !== null) return Math.abs(value - mu) / tau;
  return Math.max(0, (low! - mu) / tau, (mu - high!) / tau);
}
