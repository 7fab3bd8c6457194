import { acceptedRest, gradient, readSigns, springs } from "./energy.js";
import { evaluateGaps, newEvaluation } from "./evaluate-gaps.js";
import { gapChange, newtonStep, notHeld } from "./rest-linear.js";
import { PRESS_RATIO, type Rest, SeatingError, type SeatingModel } from "./seating-model.js";

const MOST_STEPS = 100;
/** Ends when the full, undamped step would change no gap by more than this, mm. */
const STILL = 1e-10;
/** A full step is kept when the slope of the energy along it has fallen to this share or less, either way. */
const SLOPE_FALL = 0.9;

/**
 * Exact order: the local minimum of ½ Σ w·k(g)·g² reached from `start`, with the exact gaps and their second derivatives.
 *
 * @param faceAngle direction of each face's normal before the pieces settle, rad; `faceOffset` mm.
 * @throws SeatingError when a piece is not held or no rest is found.
 */
export function restExact(
  model: SeatingModel,
  faceAngle: Float64Array,
  faceOffset: Float64Array,
  start: Float64Array,
  pressRatio: number = PRESS_RATIO,
): Rest {
  const here = newEvaluation(model);
  const there = newEvaluation(model);
  const pressed = new Uint8Array(model.weight.length);
  let pose = Float64Array.from(start);
  evaluateGaps(model, faceAngle, faceOffset, pose, here);
  readSigns(here.gap, pressed);
  for (let iterations = 1; iterations <= MOST_STEPS; iterations++) {
    const spring = springs(model, pressed, pressRatio);
    const curved = newtonStep(model, here, spring, true);
    const step = curved ?? newtonStep(model, here, spring, false);
    if (step === null) throw notHeld();
    const before = pose;
    const moveTo = (share: number): number => {
      pose = before.map((q, i) => q + share * step[i]!);
      evaluateGaps(model, faceAngle, faceOffset, pose, there);
      const signs = Uint8Array.from(pressed);
      readSigns(there.gap, signs);
      return gradientAlong(gradient(model, there, springs(model, signs, pressRatio)), step);
    };
    const largest = gapChange(model, here.moves, step).reduce((m, c) => Math.max(m, Math.abs(c)), 0);
    if (largest <= STILL && curved !== null) {
      moveTo(1);
      readSigns(there.gap, pressed);
      return acceptedRest(model, there, springs(model, pressed, pressRatio), pose, iterations);
    }
    settleShare(gradientAlong(gradient(model, here, spring), step), moveTo);
    evaluateGaps(model, faceAngle, faceOffset, pose, here);
    readSigns(here.gap, pressed);
  }
  throw new SeatingError(`The pieces found no rest in ${MOST_STEPS} steps at exact order.`);
}

const gradientAlong = (force: Float64Array, step: Float64Array): number =>
  force.reduce((sum, f, i) => sum + f * step[i]!, 0);

/** Takes the full step, or the share at which the energy's slope along the step vanishes (bisection with secants on a rising slope). */
function settleShare(slopeAtStart: number, moveTo: (share: number) => number): void {
  const slopeAtFull = moveTo(1);
  if (slopeAtFull <= SLOPE_FALL * Math.abs(slopeAtStart)) return;
  let [low, slopeLow, high, slopeHigh] = [0, slopeAtStart, 1, slopeAtFull];
  for (let round = 0; round < 40; round++) {
    const secant = low - (slopeLow * (high - low)) / (slopeHigh - slopeLow);
    const share = round % 2 === 0 ? secant : (low + high) / 2;
    const slope = moveTo(share);
    if (Math.abs(slope) <= 0.1 * Math.abs(slopeAtStart)) return;
    if (slope < 0) [low, slopeLow] = [share, slope];
    else [high, slopeHigh] = [share, slope];
  }
}
