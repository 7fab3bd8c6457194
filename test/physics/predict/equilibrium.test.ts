import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import type { Order } from "../../../src/model/cell/cell.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { type CellModel, cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium, solveWithSlopes } from "../../../src/physics/predict/equilibrium.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { ORDINARY, randomErrors, SIZES, squareCell } from "../../checks/validate/cells.js";
import { longIt } from "../../tools/longer.js";

/** No gap nearer to zero than this, mm: a step of 1e-5 then stays on one side of every kink. */
const CLEAR = 1e-4;
const STEP = 1e-5;

/** Random errors whose gaps at rest all keep clear of zero, and whose faces meet. */
function awayFromKinks(model: CellModel, order: Order, seed: number): Float64Array {
  const stream = createStream(seed);
  for (let k = 0; k < 200; k++) {
    const errors = randomErrors(model.cell, stream, ORDINARY);
    if (solveEquilibrium(model, errors, { order }).rest.gap.some((g) => Math.abs(g) < CLEAR)) continue;
    try {
      gapsOf(model, errors, order);
      return errors;
    } catch {
      // Faces that no longer meet: a slender cell may slip apart. Draw again.
    }
  }
  throw new Error("No cell kept clear of its kinks.");
}

function gapsOf(model: CellModel, errors: Float64Array, order: Order): number[] {
  return predictCell(model.cell, errors, { order }).probes.map(({ gap }) => gap);
}

describe.each(["first", "exact"] as const)("the slopes of the gaps in %s order", (order) => {
  longIt.each(SIZES)("of %f mm in %f mm strip agree with differences of the prediction", (opening, strip) => {
    const model = cellModel(squareCell(opening, strip));
    const errors = awayFromKinks(model, order, 71 + opening);
    const { slopes, rest } = solveWithSlopes(model, errors, { order });
    expect([...rest.gap]).toEqual(gapsOf(model, errors, order));
    const { entries } = errorLayout(model.cell);
    let worst = 0;
    for (const [c, { kind }] of entries.entries()) {
      // A turn moves a gap by its arm: the step is taken so that either kind moves it by about as much.
      const step = kind === "angle" || kind === "turn" ? STEP / strip : STEP;
      const at = (sign: number) =>
        gapsOf(
          model,
          errors.map((e, i) => (i === c ? e + sign * step : e)),
          order,
        );
      const [plus, minus] = [at(1), at(-1)];
      for (const i of plus.keys()) {
        const difference = (plus[i]! - minus[i]!) / (2 * step);
        const slope = slopes[i * entries.length + c]!;
        worst = Math.max(worst, Math.abs(difference - slope) / (1 + Math.abs(slope)));
      }
    }
    // 1e-10 seen in first order, 5e-8 in exact.
    expect(worst).toBeLessThan(order === "first" ? 1e-8 : 1e-6);
  });

  it("would differ if the pieces stayed where they are", () => {
    const model = cellModel(squareCell(60, 3));
    const errors = awayFromKinks(model, order, 77);
    const { slopes } = solveWithSlopes(model, errors, { order });
    const apart = slopes.reduce((most, s, i) => Math.max(most, Math.abs(s - model.direct[i]!)), 0);
    expect(apart).toBeGreaterThan(0.1);
  });
});
