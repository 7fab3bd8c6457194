import { describe, expect, it } from "vitest";
import { createStream } from "../../src/numeric/random-stream.js";
import { cellModel } from "../../src/predict/cell-model.js";
import { restLinear } from "../../src/seating/rest-linear.js";
import { SIZES, squareCell } from "../predict/support/cells.js";
import { LARGE, ORDINARY, randomErrors, sharedErrors } from "../predict/support/random-errors.js";
import { linearSeating } from "./support/linear-seating.js";
import { type LinearSeating, seatByQuadraticProgramme } from "./support/seat-by-quadratic-programme.js";

/*
 * Pass rule: on 500 random cells (seed 11) our energy and that of the programme, as it states it and as its poses have it, agree to 1e-10 of themselves,
 * and every gap to 1e-10 mm (1e-13 and 3e-13 seen).
 */
const CELLS = 500;
const ENERGY = 1e-10;
const GAP = 1e-10;

describe("the programme itself", () => {
  it("shares an error out between two springs as by hand", () => {
    // Two probes face each other along one coordinate: gaps a + q and b − q. Both open: q = (b − a)/2.
    const pair = (a: number, b: number): LinearSeating => ({
      free: Float64Array.of(a, b),
      slopes: Float64Array.of(1, -1),
      weight: Float64Array.of(1, 1),
      pressRatio: 1000,
    });
    const open = seatByQuadraticProgramme(pair(0.3, 0.1));
    expect(open.gap).toEqual([expect.closeTo(0.2, 12), expect.closeTo(0.2, 12)]);
    expect(open.value).toBeCloseTo(0.04, 12);
    // Both pressed, and stiff: energy K·g² for two springs.
    const pressed = seatByQuadraticProgramme(pair(-0.3, -0.1));
    expect(pressed.gap).toEqual([expect.closeTo(-0.2, 12), expect.closeTo(-0.2, 12)]);
    expect(pressed.value).toBeCloseTo(40, 9);
  });
});

describe("first-order seating against the programme", () => {
  it(`agrees on ${CELLS} random cells of every size`, () => {
    const stream = createStream(11);
    const models = SIZES.map(([opening, strip]) => cellModel(squareCell(opening, strip)));
    let energyOff = 0;
    let gapOff = 0;
    for (let k = 0; k < CELLS; k++) {
      const model = models[k % models.length]!;
      const draw = [randomErrors, randomErrors, sharedErrors][k % 3]!;
      const errors = draw(model.cell, stream, k % 2 === 0 ? ORDINARY : LARGE);
      const linear = linearSeating(model, errors);
      const rest = restLinear(model.seating, model.nominal, linear.free);
      const programmed = seatByQuadraticProgramme(linear);
      const ours = rest.gap.reduce(
        (sum, g, i) => sum + 0.5 * model.seating.weight[i]! * (g < 0 ? linear.pressRatio : 1) * g * g,
        0,
      );
      // Shared errors may all be zero: then both are.
      const size = Math.max(ours, 1e-20);
      energyOff = Math.max(
        energyOff,
        Math.abs(programmed.energy - ours) / size,
        Math.abs(programmed.value - ours) / size,
      );
      gapOff = rest.gap.reduce((most, g, i) => Math.max(most, Math.abs(g - programmed.gap[i]!)), gapOff);
    }
    expect(energyOff).toBeLessThan(ENERGY);
    expect(gapOff).toBeLessThan(GAP);
  });

  it("agrees for other press ratios", () => {
    const model = cellModel(squareCell(60, 3));
    const errors = randomErrors(model.cell, createStream(12), ORDINARY);
    for (const pressRatio of [2, 30, 1e4]) {
      const linear = linearSeating(model, errors, pressRatio);
      const rest = restLinear(model.seating, model.nominal, linear.free, pressRatio);
      const programmed = seatByQuadraticProgramme(linear);
      for (const [i, g] of rest.gap.entries()) expect(Math.abs(g - programmed.gap[i]!)).toBeLessThan(GAP);
    }
  });

  it("would notice a rest that is not one", () => {
    const model = cellModel(squareCell(60, 3));
    const linear = linearSeating(model, randomErrors(model.cell, createStream(13), ORDINARY));
    const soft = restLinear(model.seating, model.nominal, linear.free, 990);
    const programmed = seatByQuadraticProgramme(linear);
    const apart = soft.gap.reduce((most, g, i) => Math.max(most, Math.abs(g - programmed.gap[i]!)), 0);
    expect(apart).toBeGreaterThan(GAP);
  });
});
