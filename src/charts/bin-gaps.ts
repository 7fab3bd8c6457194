import { ChartError, requireRows } from "./chart-error.js";

/** Simulated gaps sorted into steps of equal width. */
export interface BinnedGaps {
  /** Edges of the steps, mm, rising: one more than there are shares. */
  readonly edges: readonly number[];
  /** Share of all gaps in each step, from its lower edge (not counted in) to its upper (counted in); the first step counts both. */
  readonly shares: readonly number[];
  /** Share of all gaps beyond the last edge. */
  readonly beyond: number;
}

export interface GapEdgesOptions {
  /** mm, > 0; an edge, so that a step lies wholly within the limit or wholly beyond, unless the gaps reach beyond `most` times the limit. */
  readonly gapLimit: number;
  /** How many steps there are at most; default {@link DEFAULT_MOST_BINS}. */
  readonly most?: number;
}

export const DEFAULT_MOST_BINS = 40;
/** Share of the gaps that the edges take in; the few largest would stretch the axis for nothing. */
const TAKEN_IN = 0.995;
/** Width of a step as a part or a multiple of the limit. */
const WIDTHS = [0.01, 0.02, 0.05, 0.1, 0.2, 0.25, 0.5, 1, 2, 5, 10];

/**
 * Edges from zero that suit all the samples, in equal steps.
 *
 * @param samples worst gaps, mm, ≥ 0, of one or more simulations.
 * @throws ChartError without samples or limit.
 */
export function gapEdges(
  samples: readonly ArrayLike<number>[],
  { gapLimit, most = DEFAULT_MOST_BINS }: GapEdgesOptions,
): number[] {
  requireRows(
    samples.flatMap((list) => (list.length > 0 ? [list] : [])),
    "simulated gaps",
  );
  if (!(gapLimit > 0 && Number.isFinite(gapLimit)))
    throw new ChartError(
      `The gap limit cannot be an edge: it must be a length greater than zero; it is ${gapLimit} mm.`,
    );
  const ends = samples.map((list) => {
    const sorted = Float64Array.from(list).sort();
    return sorted[Math.max(0, Math.ceil(TAKEN_IN * sorted.length) - 1)] ?? 0;
  });
  const reach = Math.max(1.1 * gapLimit, ...ends);
  const part = WIDTHS.find((width) => reach / (width * gapLimit) <= most) ?? reach / gapLimit / most;
  const count = Math.ceil(reach / (part * gapLimit) - 1e-9);
  return Array.from({ length: count + 1 }, (_, i) => Number((i * part * gapLimit).toPrecision(12)));
}

/** @throws ChartError without samples. */
export function binGaps(samples: ArrayLike<number>, edges: readonly number[]): BinnedGaps {
  if (samples.length === 0) requireRows([], "simulated gaps");
  const counts = new Float64Array(edges.length - 1);
  let beyond = 0;
  for (let i = 0; i < samples.length; i++) {
    const upper = edges.findIndex((edge) => samples[i]! <= edge);
    if (upper < 0) beyond++;
    else counts[Math.max(0, upper - 1)]!++;
  }
  return {
    edges,
    shares: Array.from(counts, (count) => count / samples.length),
    beyond: beyond / samples.length,
  };
}
