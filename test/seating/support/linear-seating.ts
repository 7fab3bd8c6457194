import type { CellModel } from "../../../src/predict/cell-model.js";
import { freeGaps } from "../../../src/predict/settle.js";
import { slopesOf } from "../../../src/seating/energy.js";
import { PRESS_RATIO } from "../../../src/seating/seating-model.js";
import type { LinearSeating } from "./seat-by-quadratic-programme.js";

/** A cell's first-order seating under an error vector as plain matrices. */
export function linearSeating(
  model: CellModel,
  errors: Float64Array,
  pressRatio = PRESS_RATIO,
): LinearSeating {
  const { seating, nominal } = model;
  const n = 3 * seating.bodies;
  const slopes = new Float64Array(seating.weight.length * n);
  const values = new Float64Array(6);
  const place = new Int32Array(6);
  for (let i = 0; i < seating.weight.length; i++) {
    const used = slopesOf(seating, nominal.moves, i, values, place);
    for (let k = 0; k < used; k++) slopes[i * n + place[k]!] = values[k]!;
  }
  return { free: freeGaps(model, errors), slopes, weight: seating.weight, pressRatio };
}
