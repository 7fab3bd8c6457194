import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { bodyOrder, ownCoordinates } from "../../../src/physics/kernel/first-order-routines.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { gapChange } from "../../../src/physics/seating/rest-linear.js";
import { SIZES, squareCell } from "../../checks/validate/cells.js";

describe.each(SIZES)("a body's own coordinates in a cell of %f mm with %f mm strips", (opening, strip) => {
  const { seating, nominal } = cellModel(squareCell(opening, strip));
  const { slopes, toPose } = ownCoordinates(seating, nominal);

  it("tell the same gaps as its pose", () => {
    const stream = createStream(5);
    for (let k = 0; k < 20; k++) {
      const own = stream.fill(new Float64Array(3 * seating.bodies));
      const pose = Float64Array.from(own, (_, c) =>
        toPose[Math.floor(c / 3)]![c % 3]!.reduce((sum, x, j) => sum + x * own[c - (c % 3) + j]!, 0),
      );
      const byPose = gapChange(seating, nominal.moves, pose);
      for (const [i, halves] of slopes.entries()) {
        const byOwn = halves.reduce(
          (sum, { body, row }) => sum + row.reduce((s, x, j) => s + x * own[3 * body + j]!, 0),
          0,
        );
        expect(byOwn).toBeCloseTo(byPose[i]!, 11);
      }
    }
  });

  it("are three of its gaps themselves, and have zeros elsewhere", () => {
    for (let body = 0; body < seating.bodies; body++) {
      const rows = slopes.flat().filter((half) => half.body === body);
      const units = rows.filter(({ row }) => row.filter((x) => x === 0).length === 2 && row.includes(1));
      expect(units.length).toBeGreaterThanOrEqual(3);
    }
    const entries = slopes.flat().flatMap(({ row }) => [...row]);
    expect(entries.filter((x) => x !== 0).length).toBeLessThan(0.75 * entries.length);
  });
});

it("keys are eliminated before the hinges that they touch", () => {
  const { seating, cell } = cellModel(squareCell(60, 3));
  const names = bodyOrder(seating).map((body) => cell.pieces[body]!.name);
  expect([...names].sort()).toEqual(cell.pieces.map(({ name }) => name).sort());
  expect(names[0]).toBe("key-1");
  expect(names.indexOf("key-1")).toBeLessThan(names.indexOf("hinge-1"));
  expect(names.indexOf("key-1")).toBeLessThan(names.indexOf("hinge-2"));
});
