/** The energy at a share of a step, and its slope along the step there. */
export interface Along {
  readonly share: number;
  readonly energy: number;
  readonly slope: number;
}

/** Asking moves the pieces to that share of the step. */
export type AlongStep = (share: number) => Along;

/** A full step is kept when the slope of the energy along it has fallen to this share or less, either way. */
const SLOPE_FALL = 0.9;
/** A search ends when the slope has fallen to this share of the steepest. */
const FLAT = 0.1;
const MOST_ROUNDS = 40;
/** The energy may rise by this share in a step: rounding near the rest. */
const LEVEL = 1e-9;

/** Takes the full step, or the share of it at which the energy's slope along it vanishes; never one at which the energy is higher. */
export function settleShare(at: AlongStep): void {
  const start = at(0);
  const full = at(1);
  const ceiling = start.energy * (1 + LEVEL);
  if (full.slope <= SLOPE_FALL * Math.abs(start.slope) && full.energy <= ceiling) return;
  closeIn(at, start, full, ceiling, FLAT * Math.abs(start.slope));
}

/** First try along a direction that leaves a saddle, mm of gap: far above rounding, far below what shows. */
const NUDGE = 1e-3;
const LEAST_NUDGE = 1e-9;
/** No gap is followed further than this, mm. */
const FURTHEST = 1;

/**
 * Moves along a direction in which the energy curves down, to the side on which it falls (the positive one when it is level), until its slope vanishes.
 * Stays put when it falls to neither side.
 */
export function downhillShare(at: AlongStep): void {
  const start = at(0);
  const risesPositive = start.slope * NUDGE > LEVEL * start.energy;
  for (const side of risesPositive ? [-1, 1] : [1, -1]) {
    const towards = (share: number): Along => {
      const { energy, slope } = at(side * share);
      return { share, energy, slope: side * slope };
    };
    for (let nudge = NUDGE; nudge >= LEAST_NUDGE; nudge /= 10) {
      const first = towards(nudge);
      if (first.slope < 0 && first.energy <= start.energy) {
        followDown(towards, first, start.energy);
        return;
      }
    }
  }
  at(0);
}

/** Doubles the share until the energy no longer falls, then closes in on the bottom. */
function followDown(at: AlongStep, first: Along, ceiling: number): void {
  let low = first;
  let steepest = first.slope;
  while (low.share < FURTHEST) {
    const high = at(2 * low.share);
    if (high.slope >= 0 || high.energy > ceiling) {
      closeIn(at, low, high, ceiling, FLAT * Math.abs(steepest));
      return;
    }
    low = high;
    steepest = Math.min(steepest, high.slope);
  }
}

/**
 * Closes in on a share at which the slope is `enough` or less and the energy not above `ceiling`, by secants and bisection in turn,
 * from one on the way down and one that is past the bottom or above the ceiling.
 */
function closeIn(at: AlongStep, from: Along, past: Along, ceiling: number, enough: number): void {
  let [low, high] = [from, past];
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const secant = low.share - (low.slope * (high.share - low.share)) / (high.slope - low.slope);
    const bisect = round % 2 === 1 || high.slope <= 0;
    const here = at(bisect ? (low.share + high.share) / 2 : secant);
    const above = here.energy > ceiling;
    if (!above && Math.abs(here.slope) <= enough) return;
    if (above || here.slope >= 0) high = here;
    else low = here;
  }
  at(low.share);
}
