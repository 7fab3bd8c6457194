import { UserError } from "../../core/errors.js";
import { downwardCurvature } from "../../core/numeric/linear-algebra.js";
import { acceptedRest, energy, gradient, hessian, readSigns, STILL, springs } from "./energy.js";
import { gapChange, newtonStep, notHeld } from "./rest-linear.js";
import { evaluateGaps, newEvaluation, PRESS_RATIO, type Rest, type SeatingModel } from "./seating-model.js";

const MOST_STEPS = 100;

/**
 * Exact order: the local minimum of ½ Σ w·k(g)·g² reached from `start`, with the exact gaps and their second derivatives.
 *
 * Errors shared by mirror-image pieces can lead to a stationary point that is a saddle, from which the pieces can yield to either side. The iteration leaves it along the
 * direction of negative curvature, always to the same side, and reaches one of two mirror-image minima.
 *
 * @param faceAngle direction of each face's normal before any piece has moved, rad; `faceOffset` mm.
 * @throws UserError (code "seating") when a piece is not held or no equilibrium is found.
 */
export function restExact(
  model: SeatingModel,
  faceAngle: Float64Array,
  faceOffset: Float64Array,
  start: Float64Array,
  pressRatio: number = PRESS_RATIO,
): Rest {
  const at = newEvaluation(model);
  const pressed = new Uint8Array(model.weight.length);
  let pose = Float64Array.from(start);
  let spring = springs(model, pressed, pressRatio);
  const read = (): void => {
    evaluateGaps(model, faceAngle, faceOffset, pose, at);
    readSigns(at.gap, pressed);
    spring = springs(model, pressed, pressRatio);
  };
  /** The energy along `step`; the pieces stay at the share of the step that was evaluated last. */
  const along = (step: Float64Array): AlongStep => {
    const before = pose;
    return (share) => {
      pose = before.map((q, i) => q + share * step[i]!);
      read();
      const slope = gradient(model, at, spring).reduce((sum, f, i) => sum + f * step[i]!, 0);
      return { share, slope, energy: energy(at.gap, spring) };
    };
  };
  const largestChange = (step: Float64Array): number =>
    gapChange(model, at.moves, step).reduce((most, c) => Math.max(most, Math.abs(c)), 0);

  read();
  for (let iterations = 1; iterations <= MOST_STEPS; iterations++) {
    const curved = newtonStep(model, at, spring, true);
    const step = curved ?? newtonStep(model, at, spring, false);
    if (step === null) throw notHeld();
    if (curved !== null && largestChange(step) <= STILL) {
      along(step)(1);
      return acceptedRest(model, at, spring, pose, iterations);
    }
    stepShare(along(step));
    if (curved !== null) continue;
    const down = downwardCurvature(hessian(model, at, spring, true), pose.length);
    if (down === null) continue;
    const length = largestChange(down);
    downhillShare(along(down.map((q) => q / length)));
  }
  throw new UserError("seating", `The pieces found no rest in ${MOST_STEPS} steps at exact order.`);
}

/** The energy at a share of a step, and its slope along the step there. */
interface Along {
  readonly share: number;
  readonly energy: number;
  readonly slope: number;
}

/** Evaluates a share of the step and leaves the pieces there. */
export type AlongStep = (share: number) => Along;

/** A full step is accepted if the absolute slope of the energy along it has fallen to at most this share. */
const SLOPE_FALL = 0.9;
/** A line search ends when the slope has fallen to this share of the steepest slope. */
const FLAT = 0.1;
const MOST_ROUNDS = 40;
/** The energy may increase by this share in a step, to allow for rounding near the equilibrium. */
const LEVEL = 1e-9;

/** Takes the full step, or the share of it at which the slope of the energy vanishes; never a share at which the energy is higher. */
export function stepShare(at: AlongStep): void {
  const start = at(0);
  const full = at(1);
  const ceiling = start.energy * (1 + LEVEL);
  if (full.slope <= SLOPE_FALL * Math.abs(start.slope) && full.energy <= ceiling) return;
  closeIn(at, start, full, ceiling, FLAT * Math.abs(start.slope));
}

/** First trial step along a direction that leaves a saddle, as a change of gap in mm: far above rounding, far below what is visible. */
const NUDGE = 1e-3;
const LEAST_NUDGE = 1e-9;
/** Largest change of any gap that is followed, mm. */
const FURTHEST = 1;

/**
 * Moves along a direction of negative curvature, to the side on which the energy falls (the positive side if its slope is zero), until the slope vanishes.
 * The pieces stay where they are if the energy falls to neither side.
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

/** Doubles the share until the energy no longer falls, then narrows the bracket to the minimum. */
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
 * Finds a share at which the slope is at most `enough` and the energy not above `ceiling`, by alternating secants and bisection,
 * starting from a bracket: one share where the energy still falls, and one past the minimum or above the ceiling.
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
