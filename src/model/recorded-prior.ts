import type { SourceId } from "./source-id.js";

/** One normal component of a record's mixture distribution of its sources; rad and mm. */
export interface PriorCase {
  /** Probability of this component, 0 to 1; the probabilities of all components add up to 1. */
  readonly share: number;
  /** Mean of each source, and their covariance, row-major; rad and mm. */
  readonly mean: readonly number[];
  readonly covariance: readonly number[];
}

/**
 * Joint prior of some sources from records of earlier jobs, widened for the time since then: a mixture of normal distributions. It has one component, or one for each side of zero
 * if a record knows a size but not its sign.
 */
export interface RecordedPrior {
  /** Names of the records' files. */
  readonly files: readonly string[];
  readonly sources: readonly SourceId[];
  readonly cases: readonly PriorCase[];
}

/** Mean and covariance (row-major) of a mixture, rad and mm. */
export function momentsOfCases(cases: readonly PriorCase[]): { mean: number[]; covariance: number[] } {
  const n = cases[0]?.mean.length ?? 0;
  const mean = Array.from({ length: n }, (_, i) =>
    cases.reduce((sum, one) => sum + one.share * (one.mean[i] ?? 0), 0),
  );
  const off = (one: PriorCase, i: number): number => (one.mean[i] ?? 0) - (mean[i] ?? 0);
  const covariance = Array.from({ length: n * n }, (_, k) => {
    const [i, j] = [Math.floor(k / n), k % n];
    return cases.reduce(
      (sum, one) => sum + one.share * ((one.covariance[k] ?? 0) + off(one, i) * off(one, j)),
      0,
    );
  });
  return { mean, covariance };
}
