/** A normal law of the sources, in their prior standard deviations; row-major covariance. */
export interface SourceLaw {
  readonly mean: Float64Array;
  readonly covariance: Float64Array;
}

/** At least this share of each variance is a source's own: a sample of few draws may lie in a plane. */
const OWN = 1e-6;

/** Mean and covariance of a sample, row-major (draw, number); the covariance `wider` times what it is, default 1. */
export function momentsOf(sample: Float64Array, p: number, wider = 1): SourceLaw {
  const draws = sample.length / p;
  const mean = new Float64Array(p);
  for (let i = 0; i < sample.length; i++) mean[i % p]! += sample[i]! / draws;
  const covariance = new Float64Array(p * p);
  for (let d = 0; d < draws; d++) {
    for (let i = 0; i < p; i++) {
      const share = (wider * (sample[d * p + i]! - mean[i]!)) / draws;
      for (let j = 0; j < p; j++) covariance[i * p + j]! += share * (sample[d * p + j]! - mean[j]!);
    }
  }
  for (let i = 0; i < p; i++) covariance[i * p + i]! *= 1 + OWN;
  return { mean, covariance };
}
