import type { Model } from "./inputs.js";

/** Where a climb ended. */
export interface Climb {
  readonly value: number;
  readonly at: Float64Array;
}

/** The search ends when its steps are this share of the sides. */
const SMALLEST_STEP = 1e-6;
const MOST_ROUNDS = 400;

/**
 * Climbs from `start` by steps along single inputs, never leaving the box; halves the steps where none climbs
 * (compass search; R. M. Lewis, V. Torczon and M. W. Trosset, J. Comput. Appl. Math. 124, 2000). Ends at a local maximum.
 */
export function climb(
  f: Model,
  box: readonly { readonly lo: number; readonly hi: number }[],
  start: Float64Array,
): Climb {
  const at = start.slice();
  let value = f(at.slice());
  let share = 0.25;
  for (let round = 0; round < MOST_ROUNDS && share > SMALLEST_STEP; round++) {
    let climbed = false;
    for (let i = 0; i < at.length; i++) {
      const { lo, hi } = box[i]!;
      for (const sign of [1, -1]) {
        const moved = at.slice();
        moved[i] = Math.min(hi, Math.max(lo, at[i]! + sign * share * (hi - lo)));
        if (moved[i] === at[i]) continue;
        const y = f(moved.slice());
        if (y > value) {
          at[i] = moved[i]!;
          value = y;
          climbed = true;
          break;
        }
      }
    }
    if (!climbed) share /= 2;
  }
  return { value, at };
}
