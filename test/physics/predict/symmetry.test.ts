import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { ORDERS, ORDINARY, randomErrors, SIZES, squareCell } from "../../checks/validate/cells.js";
import { HALF_TURN, imageOfErrors, MIRROR } from "../../checks/validate/symmetries.js";

/* That mirrored, turned and scaled cells have the gaps they must is one of the outside checks, src/validate/symmetries.ts. */
it.each([
  ["mirrored across the diagonal", MIRROR],
  ["turned by half a turn", HALF_TURN],
] as const)("errors %s come back when it is done twice", (_, image) => {
  const cell = squareCell(60, 3);
  const errors = randomErrors(cell, createStream(82), ORDINARY);
  expect(imageOfErrors(cell, imageOfErrors(cell, errors, image), image)).toEqual(errors);
  expect(imageOfErrors(cell, errors, image)).not.toEqual(errors);
});

describe("a cell without errors", () => {
  it.each(SIZES)("of %f mm in %f mm strip has no gap, no press and no open area", (opening, strip) => {
    const cell = squareCell(opening, strip);
    for (const order of ORDERS) {
      const prediction = predictCell(cell, new Float64Array(71), { order });
      expect(prediction.probes).toHaveLength(44);
      for (const { gap } of prediction.probes) expect(Math.abs(gap)).toBeLessThan(1e-14 * opening);
      expect(prediction.widestGap).toBeLessThan(1e-14 * opening);
      expect(prediction.deepestPress).toBeLessThan(1e-14 * opening);
      expect(prediction.openArea).toBeLessThan(1e-12 * opening);
      expect(prediction.firstOrderDifference).toBeLessThan(1e-14 * opening);
    }
  });
});
