import type { Draw } from "./weigh-hypothesis.js";

/** How large a cause is, if it is the cause; rad or mm. */
export interface SizeFound {
  /** Most probable size: the median on the likelier side of zero. */
  readonly size: number;
  /** Central 95 % interval over both sides. */
  readonly interval: readonly [number, number];
  /** Probability that it lies on the side of `size`. */
  readonly thatSide: number;
  /** Where it may as well have the other sign, and on either side is clearly not zero: the median on the other side; else `null`. */
  readonly other: number | null;
}

/** The other sign is open while it has more than this probability. */
const OPEN = 0.025;
/** A side is a place of its own when its mean is more than this many of its standard deviations from zero. (The half of a normal law about zero has 1.3.) */
const OWN_PLACE = 2;
/** Of draws worth fewer than this many equal ones nothing is said of signs. */
export const ENOUGH = 40;

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
  const below = weighted.filter(({ size }) => size <= 0);
  const share = weightOf(above) / total;
  const [side, other] = share >= 0.5 ? [above, below] : [below, above];
  const enough = total ** 2 / weighted.reduce((sum, { weight }) => sum + weight ** 2, 0) >= ENOUGH;
  const open = enough && Math.min(share, 1 - share) > OPEN && isApart(side) && isApart(other);
  return {
    size: quantile(side, 0.5),
    interval: [quantile(weighted, 0.025), quantile(weighted, 0.975)],
    thatSide: Math.max(share, 1 - share),
    other: open ? quantile(other, 0.5) : null,
  };
}

interface Weighted {
  readonly size: number;
  readonly weight: number;
}

function isApart(list: readonly Weighted[]): boolean {
  const total = weightOf(list);
  const mean = list.reduce((sum, { size, weight }) => sum + weight * size, 0) / total;
  const variance = list.reduce((sum, { size, weight }) => sum + weight * (size - mean) ** 2, 0) / total;
  return Math.abs(mean) > OWN_PLACE * Math.sqrt(variance);
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
