import type { CellModel } from "../../predict/cell-model.js";
import { SIGN_BAND } from "../../seating/energy.js";
import { solveSymmetric } from "../tape/solve-symmetric.js";
import { Tape } from "../tape/tape.js";
import type { Routine, Test, Value } from "../tape/value.js";
import { coordinateOrder } from "./elimination-order.js";
import { type OwnCoordinates, ownCoordinates } from "./own-coordinates.js";
import type { RecordPlan } from "./record.js";
import { type TrialInputs, tapeFreeGaps } from "./trial-inputs.js";

/** Where a trial's first-order numbers lie in its record. */
export interface FirstOrderPlaces {
  readonly draws: number;
  /** Gaps before any piece has moved, mm. */
  readonly free: number;
  /**
   * The gap below which a probe counts as pressed next time: +{@link SIGN_BAND} where it is pressed, −{@link SIGN_BAND} where it is open,
   * so that a gap within rounding of zero keeps its sign.
   */
  readonly bound: number;
  /** Gaps at the solution of the last step, mm. */
  readonly gap: number;
  /** Gaps from which a search starts. */
  readonly here: number;
  /** Places of the bodies at that solution, in their own coordinates; `null` when they are not wanted. */
  readonly own: number | null;
}

/** What first order runs. `weak` and `step` answer whether any probe's sign has changed. */
export interface FirstOrderRoutines {
  readonly places: FirstOrderPlaces;
  readonly own: OwnCoordinates;
  /** From the draws to the free gaps. */
  readonly free: Routine;
  /** The solution with every spring weak. */
  readonly weak: Routine;
  /** The solution with the springs that the signs call for. */
  readonly step: Routine;
}

/** @param keepsPlaces whether where the bodies come to rest is wanted, and not the gaps alone. */
export function firstOrderRoutines(
  model: CellModel,
  inputs: TrialInputs,
  pressRatio: number,
  plan: RecordPlan,
  keepsPlaces: boolean,
): FirstOrderRoutines {
  const { seating, nominal } = model;
  const probes = seating.weight.length;
  const places: FirstOrderPlaces = {
    draws: plan.take(inputs.draws),
    free: plan.take(probes),
    bound: plan.take(probes),
    gap: plan.take(probes),
    here: plan.take(probes),
    own: keepsPlaces ? plan.take(3 * seating.bodies) : null,
  };
  const own = ownCoordinates(seating, nominal);
  return {
    places,
    own,
    free: freeRoutine(model, inputs, places),
    weak: solveRoutine("weak", model, own, places, (tape) =>
      Array.from(seating.weight, () => tape.constant(1)),
    ),
    step: solveRoutine("step", model, own, places, (tape) => {
      const [stiff, weak] = [tape.constant(pressRatio), tape.constant(1)];
      return Array.from(seating.weight, (_, i) =>
        tape.pick(tape.less(tape.zero, tape.load(places.bound + i)), stiff, weak),
      );
    }),
  };
}

function freeRoutine(model: CellModel, inputs: TrialInputs, places: FirstOrderPlaces): Routine {
  const tape = new Tape();
  const drawn = Array.from({ length: inputs.draws }, (_, k) => tape.load(places.draws + k));
  const gaps = tapeFreeGaps(tape, model, inputs, drawn);
  for (const [i, gap] of gaps.entries()) tape.store(places.free + i, gap);
  return tape.finish("free");
}

/**
 * The poses that minimise ½ Σ w·k·g² for given stiffnesses k, g = b + G·q: (Gᵀ·W·K·G)·q = −Gᵀ·W·K·b, and the gaps there.
 * When the stiffnesses are constants the matrix is worked out and factored while recording.
 */
function solveRoutine(
  name: "weak" | "step",
  { seating }: CellModel,
  { slopes }: OwnCoordinates,
  places: FirstOrderPlaces,
  stiffnesses: (tape: Tape) => Value[],
): Routine {
  const tape = new Tape();
  const n = 3 * seating.bodies;
  const matrix = Array.from({ length: n }, () => new Array<Value>(n).fill(tape.zero));
  const pull = new Array<Value>(n).fill(tape.zero);
  const stiffness = stiffnesses(tape);
  const free = slopes.map((_, i) => tape.load(places.free + i));
  const entries = slopes.map((halves) =>
    halves.flatMap(({ body, row }) => row.map((slope, c) => ({ at: 3 * body + c, slope }))),
  );
  for (const [i, weight] of seating.weight.entries()) {
    if (weight === 0) continue;
    const load = tape.multiply(stiffness[i]!, free[i]!);
    for (const { at, slope } of entries[i]!) {
      pull[at] = tape.subtract(pull[at]!, tape.multiply(tape.constant(weight * slope), load));
      for (const other of entries[i]!) {
        const product = tape.constant(weight * slope * other.slope);
        matrix[at]![other.at] = tape.add(matrix[at]![other.at]!, tape.multiply(product, stiffness[i]!));
      }
    }
  }
  const { solution } = solveSymmetric(tape, matrix, pull, coordinateOrder(seating));
  const [pressed, open] = [tape.constant(SIGN_BAND), tape.constant(-SIGN_BAND)];
  const changed: Test[] = [];
  for (const [i, own] of entries.entries()) {
    const gap = own.reduce(
      (g, { at, slope }) => tape.add(g, tape.multiply(tape.constant(slope), solution[at]!)),
      free[i]!,
    );
    const before = name === "weak" ? open : tape.load(places.bound + i);
    const after = tape.pick(tape.less(gap, before), pressed, open);
    tape.store(places.gap + i, gap);
    tape.store(places.bound + i, after);
    if (seating.weight[i] !== 0) changed.push(tape.differ(before, after));
  }
  tape.answer(tape.any(changed));
  const { own } = places;
  if (own !== null) for (const [c, value] of solution.entries()) tape.store(own + c, value);
  return tape.finish(name);
}
