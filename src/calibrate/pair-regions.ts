import type { SourceFit } from "./fit-sources.js";

/** Two sources that the readings tie together, and where both lie at once; rad or mm. */
export interface PairRegion {
  /** Places of the two among the fit's sources, the first named first. */
  readonly pair: readonly [number, number];
  readonly correlation: number;
  readonly centre: readonly [number, number];
  /** Vectors from the centre to the ends of the region's long and short half-axes, in units of the two standard uncertainties. */
  readonly axes: readonly [readonly [number, number], readonly [number, number]];
  /** Share of the posterior's draws inside. */
  readonly holds: number;
}

/** Pairs tied together at least this much are worth a region. */
export const TIED = 0.5;
const SHARE = 0.95;

/**
 * A joint 95 % region for every pair of sources whose correlation is at least {@link TIED}, strongest first: the ellipse of the posterior's covariance that holds 95 % of its
 * draws. (The two intervals side by side say less: where two stops can only be wrong together, most of their rectangle is empty.)
 */
export function pairRegions(fit: SourceFit, tied: number = TIED): PairRegion[] {
  const p = fit.sources.length;
  const regions: PairRegion[] = [];
  for (let i = 0; i < p; i++) {
    for (let j = i + 1; j < p; j++) {
      const correlation = correlationOf(fit, i, j);
      if (Math.abs(correlation) >= tied) regions.push(regionOf(fit, i, j, correlation));
    }
  }
  return regions.sort((a, b) => Math.abs(b.correlation) - Math.abs(a.correlation));
}

function correlationOf({ covariance, sources }: SourceFit, i: number, j: number): number {
  const p = sources.length;
  return covariance[i * p + j]! / Math.sqrt(covariance[i * p + i]! * covariance[j * p + j]!);
}

/** In units of the standard uncertainties the axes of the covariance [[1, r], [r, 1]] lie along the diagonals, with variances 1 ± r. */
function regionOf({ sources, estimates, sample }: SourceFit, i: number, j: number, r: number): PairRegion {
  const p = sources.length;
  const [a, b] = [sources[i]!, sources[j]!];
  const distance = (d: number): number => {
    const x = (sample[d * p + i]! - estimates[i]!) / a.standardUncertainty;
    const y = (sample[d * p + j]! - estimates[j]!) / b.standardUncertainty;
    return Math.hypot((x + y) / Math.sqrt(2 * (1 + r)), (x - y) / Math.sqrt(2 * (1 - r)));
  };
  const distances = Array.from({ length: sample.length / p }, (_, d) => distance(d));
  const sorted = distances.toSorted((x, y) => x - y);
  const reach = sorted[Math.min(Math.ceil(SHARE * (sorted.length + 1)), sorted.length) - 1]!;
  const alike = reach * Math.sqrt((1 + r) / 2);
  const apart = reach * Math.sqrt((1 - r) / 2);
  const along = [alike, alike] as const;
  const across = [apart, -apart] as const;
  return {
    ...{ pair: [i, j], correlation: r, centre: [estimates[i]!, estimates[j]!] },
    axes: r >= 0 ? [along, across] : [across, along],
    holds: distances.filter((x) => x <= reach).length / distances.length,
  };
}
