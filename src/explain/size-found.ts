import type { Draw } from "./weigh-hypothesis.js";

/** How large a cause is, if it is the cause; rad or mm. */
export interface SizeFound {
  /** Most probable size: the median on the likelier side of zero. */
  readonly size: number;
  /** Central 95 % interval over both sides. */
  readonly interval: readonly [number, number];
  /** Probability that it lies on the side of `size`. */
  readonly thatSide: number;
}

/** The size of cause number `k` of a hypothesis from weighted draws. */
export function sizeFound(draws: readonly Draw[], k: number): SizeFound {
  const most = draws.reduce((m, { logWeight }) => Math.max(m, logWeight), Number.NEGATIVE_INFINITY);
  const weighted = draws
    .map(({ sizes, logWeight }) => ({
      size: sizes[k]!,
      weight: most > Number.NEGATIVE_INFINITY ? Math.exp(logWeight - most) : 1,
    }))
    .sort((a, b) => a.size - b.size);
  const total = weightOf(weighted);
  const above = weighted.filter(({ size }) => size > 0);
  const share = weightOf(above) / total;
  const side = share >= 0.5 ? above : weighted.filter(({ size }) => size <= 0);
  return {
    size: quantile(side, 0.5),
    interval: [quantile(weighted, 0.025), quantile(weighted, 0.975)],
    thatSide: Math.max(share, 1 - share),
  };
}

interface Weighted {
  readonly size: number;
  readonly weight: number;
}

const weightOf = (list: readonly Weighted[]): number => list.reduce((sum, { weight }) => sum + weight, 0);

/** The size below which this share of the weight lies. */
function quantile(sorted: readonly Weighted[], share: number): number {
  let left = share * weightOf(sorted);
  for (const { size, weight } of sorted) {
    left -= weight;
    if (left <= 0) return size;
  }
  return sorted.at(-1)!.size;
}
