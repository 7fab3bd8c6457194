/** Closing in ends when the slope has fallen to this share of what it was, which is close enough: the last step of a search is always a full one. */
const FLAT = 0.05;
const MOST_ROUNDS = 60;

/**
 * The share of the way from `here` to `there` at which the energy ½ Σ w·k(g)·g² is least, k = 1 for g ≥ 0 and `pressRatio` for g < 0.
 * Its slope rises with the share and is a straight line between changes of sign, so secants soon hit its root; every other round halves the stretch instead.
 *
 * @param here where the gaps before the step begin in `memory`, and `there` where those of the full step do.
 */
export function bestShare(
  memory: Float64Array,
  here: number,
  there: number,
  weight: Float64Array,
  pressRatio: number,
): number {
  let low = 0;
  let slopeLow = slopeAt(0, memory, here, there, weight, pressRatio);
  const enough = FLAT * Math.abs(slopeLow);
  let high = 1;
  let slopeHigh = slopeAt(1, memory, here, there, weight, pressRatio);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    if (Math.abs(slopeHigh) <= enough) return high;
    if (slopeHigh < 0) {
      low = high;
      slopeLow = slopeHigh;
      high *= 2;
      slopeHigh = slopeAt(high, memory, here, there, weight, pressRatio);
      continue;
    }
    const secant = low - (slopeLow * (high - low)) / (slopeHigh - slopeLow);
    const middle = round % 2 === 0 ? secant : (low + high) / 2;
    const slope = slopeAt(middle, memory, here, there, weight, pressRatio);
    if (Math.abs(slope) <= enough) return middle;
    if (slope < 0) {
      low = middle;
      slopeLow = slope;
    } else {
      high = middle;
      slopeHigh = slope;
    }
  }
  return low;
}

function slopeAt(
  share: number,
  memory: Float64Array,
  here: number,
  there: number,
  weight: Float64Array,
  pressRatio: number,
): number {
  let slope = 0;
  for (let i = 0; i < weight.length; i++) {
    const start = memory[here + i]!;
    const change = memory[there + i]! - start;
    const gap = start + share * change;
    slope += weight[i]! * (gap < 0 ? pressRatio : 1) * gap * change;
  }
  return slope;
}
