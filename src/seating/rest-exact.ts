import { downwardCurvature } from "../numeric/cholesky.js";
import { acceptedRest, energy, gradient, hessian, readSigns, STILL, springs } from "./energy.js";
import { evaluateGaps, newEvaluation } from "./evaluate-gaps.js";
import { type AlongStep, downhillShare, settleShare } from "./line-search.js";
import { gapChange, newtonStep, notHeld } from "./rest-linear.js";
import { PRESS_RATIO, type Rest, SeatingError, type SeatingModel } from "./seating-model.js";

const MOST_STEPS = 100;

/**
 * Exact order: the local minimum of ½ Σ w·k(g)·g² reached from `start`, with the exact gaps and their second derivatives.
 *
 * Errors shared by mirror-image pieces can bring the pieces to a balance that is a saddle: they would give way to either side. It is left along the
 * direction in which the energy curves down, always to the same side, for a minimum that is one of two mirror images.
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
  const at = newEvaluation(model);
  const pressed = new Uint8Array(model.weight.length);
  let pose = Float64Array.from(start);
  let spring = springs(model, pressed, pressRatio);
  const read = (): void => {
    evaluateGaps(model, faceAngle, faceOffset, pose, at);
    readSigns(at.gap, pressed);
    spring = springs(model, pressed, pressRatio);
  };
  /** The energy along `step`; the pieces stay at the share of it that was last asked for. */
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
    settleShare(along(step));
    if (curved !== null) continue;
    const down = downwardCurvature(hessian(model, at, spring, true), pose.length);
    if (down === null) continue;
    const length = largestChange(down);
    downhillShare(along(down.map((q) => q / length)));
  }
  throw new SeatingError(`The pieces found no rest in ${MOST_STEPS} steps at exact order.`);
}
