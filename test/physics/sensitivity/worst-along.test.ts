import { expect, it } from "vitest";
import { asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { errorDirections } from "../../../src/physics/sensitivity/error-directions.js";
import { slopesByModel, worstAlong } from "../../../src/physics/sensitivity/sensitivity.js";
import { directionText } from "../../../src/render/source-text.js";

const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
const ramp = errorDirections(cell).find(({ id }) => directionText(id) === "ramp 67.5°")!;

it("follows the slopes at first order, and leaves them by the square of the size", () => {
  const sizes = [-0.01, 0.005, 0.01];
  const rows = worstAlong(cell, ramp, sizes);
  expect(rows.map(({ size }) => size)).toEqual(sizes);
  const slopes = (sense: number) =>
    slopesByModel(
      cell,
      ramp.errors.map((value) => sense * value),
    );
  expect(rows[2]!.firstOrderGap).toBeCloseTo(0.01 * Math.max(...slopes(1)), 10);
  expect(rows[0]!.firstOrderPress).toBeCloseTo(0.01 * Math.max(...slopes(-1).map((gap) => -gap)), 10);
  for (const row of rows) expect(row.worstGap).not.toBe(row.firstOrderGap);
  const ratio = rows[2]!.firstOrderDifference / rows[1]!.firstOrderDifference;
  expect(ratio).toBeGreaterThan(3);
  expect(ratio).toBeLessThan(5);
});
