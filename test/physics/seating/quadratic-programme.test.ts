import { solveQP } from "quadprog";
import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { freeGaps } from "../../../src/physics/predict/equilibrium.js";
import { restLinear } from "../../../src/physics/seating/rest-linear.js";
import { ORDINARY, randomErrors, squareCell } from "../../checks/validate/cells.js";
import {
  type LinearSeating,
  linearSeating,
  seatByQuadraticProgramme,
} from "../../checks/validate/seating-programme.js";

/*
 * Pass rule: every gap agrees to 1e-10 mm (5e-13 seen). That the energies of 500 random cells of every size agree is one of the outside checks, src/validate/seating-programme.ts.
 */
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
    const open = seatByQuadraticProgramme(pair(0.3, 0.1), solveQP);
    expect(open.gap).toEqual([expect.closeTo(0.2, 12), expect.closeTo(0.2, 12)]);
    expect(open.value).toBeCloseTo(0.04, 12);
    // Both pressed, and stiff: energy K·g² for two springs.
    const pressed = seatByQuadraticProgramme(pair(-0.3, -0.1), solveQP);
    expect(pressed.gap).toEqual([expect.closeTo(-0.2, 12), expect.closeTo(-0.2, 12)]);
    expect(pressed.value).toBeCloseTo(40, 9);
  });
});

describe("first-order seating against the programme", () => {
  it("agrees for other press ratios", () => {
    const model = cellModel(squareCell(60, 3));
    const errors = randomErrors(model.cell, createStream(12), ORDINARY);
    for (const pressRatio of [2, 30, 1e4]) {
      const linear = linearSeating(model.cell, errors, pressRatio);
      const rest = restLinear(model.seating, model.nominal, freeGaps(model, errors), pressRatio);
      const programmed = seatByQuadraticProgramme(linear, solveQP);
      for (const [i, g] of rest.gap.entries()) expect(Math.abs(g - programmed.gap[i]!)).toBeLessThan(GAP);
    }
  });

  it("would notice a rest that is not one", () => {
    const model = cellModel(squareCell(60, 3));
    const errors = randomErrors(model.cell, createStream(13), ORDINARY);
    const linear = linearSeating(model.cell, errors);
    const soft = restLinear(model.seating, model.nominal, freeGaps(model, errors), 990);
    const programmed = seatByQuadraticProgramme(linear, solveQP);
    const apart = soft.gap.reduce((most, g, i) => Math.max(most, Math.abs(g - programmed.gap[i]!)), 0);
    expect(apart).toBeGreaterThan(GAP);
  });
});
