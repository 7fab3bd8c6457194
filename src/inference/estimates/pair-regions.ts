import { at, columnOf, entryOf } from "../../core/numeric/dense.js";
import type { SourceFit } from "./fit-sources.js";

/** Joint 95 % region of two correlated sources; rad or mm. */
export interface PairRegion {
  /** Indices of the two among the fit's sources. */
  readonly pair: readonly [number, number];
  readonly correlation: number;
  readonly centre: readonly [number, number];
  /** Vectors from the centre to the ends of the region's long and short half-axes, in units of the two standard uncertainties. */
  readonly axes: readonly [readonly [number, number], readonly [number, number]];
  /** Share of the posterior's draws inside the region. */
  readonly holds: number;
}

/** Least correlation of a pair for which a region is computed. */
export const TIED = 0.5;
const SHARE = 0.95;

/**
 * A joint 95 % region for every pair of sources whose correlation is at least {@link TIED}, strongest first: the ellipse of the posterior's covariance that holds 95 % of its
 * draws. (The two intervals alone do not show it: where two stops can only be wrong together, most of their rectangle has no probability.)
 *
 * @example
 * pairRegions(calibration.fit).every(({ axes }) => axes.length === 2) // true
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
  const entry = (a: number, b: number): number => entryOf(covariance, a, b, p);
  return entry(i, j) / Math.sqrt(entry(i, i) * entry(j, j));
}

/** In units of the standard uncertainties, the principal axes of the covariance [[1, r], [r, 1]] lie along the diagonals, with variances 1 ± r. */
function regionOf({ sources, estimates, sample }: SourceFit, i: number, j: number, r: number): PairRegion {
  const centre = [at(estimates, i), at(estimates, j)] as const;
  const standardised = (k: number): Float64Array =>
    columnOf(sample, k, sources.length).map(
      (value) => (value - at(estimates, k)) / at(sources, k).standardUncertainty,
    );
  const ys = standardised(j);
  const distances = Array.from(standardised(i), (x, d) => {
    const y = at(ys, d);
    return Math.hypot((x + y) / Math.sqrt(2 * (1 + r)), (x - y) / Math.sqrt(2 * (1 - r)));
  });
  const sorted = distances.toSorted((x, y) => x - y);
  const reach = at(sorted, Math.min(Math.ceil(SHARE * (sorted.length + 1)), sorted.length) - 1);
  const alike = reach * Math.sqrt((1 + r) / 2);
  const apart = reach * Math.sqrt((1 - r) / 2);
  const along = [alike, alike] as const;
  const across = [apart, -apart] as const;
  return {
    pair: [i, j],
    correlation: r,
    centre,
    axes: r >= 0 ? [along, across] : [across, along],
    holds: distances.filter((x) => x <= reach).length / distances.length,
  };
}
