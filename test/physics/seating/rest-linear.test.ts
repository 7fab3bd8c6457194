import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { freeGaps } from "../../../src/physics/predict/equilibrium.js";
import { restLinear } from "../../../src/physics/seating/rest-linear.js";
import {
  LARGE,
  ORDINARY,
  randomErrors,
  SIZES,
  sharedErrors,
  squareCell,
} from "../../checks/validate/cells.js";
import { type LinearSeating, linearSeating } from "../../checks/validate/seating-programme.js";
import { userError } from "../../user-error.js";

function energyAt({ free, slopes, weight, pressRatio }: LinearSeating, pose: Float64Array): number {
  const n = pose.length;
  return free.reduce((sum, g0, i) => {
    const g = pose.reduce((gap, q, c) => gap + slopes[i * n + c]! * q, g0);
    return sum + 0.5 * weight[i]! * (g < 0 ? pressRatio : 1) * g * g;
  }, 0);
}

describe("rest in first order", () => {
  const stream = createStream(51);

  it.each(SIZES)("of %f mm in %f mm strip is the least energy far and near", (opening, strip) => {
    const model = cellModel(squareCell(opening, strip));
    const linear = linearSeating(model.cell, randomErrors(model.cell, stream, ORDINARY));
    const { pose } = restLinear(model.seating, model.nominal, linear.free);
    const least = energyAt(linear, pose);
    for (const size of [1e-6, 1e-4, 1e-2, 1]) {
      for (let k = 0; k < 50; k++) {
        const other = pose.map((q, i) => q + size * stream.normal() * (i % 3 === 2 ? 0.03 : 1));
        expect(energyAt(linear, other)).toBeGreaterThanOrEqual(least * (1 - 1e-12));
      }
    }
  });

  it("would be beaten if it were not the least", () => {
    const model = cellModel(squareCell(60, 3));
    const linear = linearSeating(model.cell, randomErrors(model.cell, stream, ORDINARY));
    // The pieces as they rest when pressing costs no more than opening.
    const { pose } = restLinear(model.seating, model.nominal, linear.free, 1);
    const start = energyAt(linear, pose);
    const tries = Array.from({ length: 400 }, () =>
      energyAt(
        linear,
        pose.map((q, i) => q + 1e-4 * stream.normal() * (i % 3 === 2 ? 0.03 : 1)),
      ),
    );
    expect(Math.min(...tries)).toBeLessThan(start);
  });

  it("grows in step with the errors", () => {
    const model = cellModel(squareCell(60, 3));
    const errors = randomErrors(model.cell, stream, ORDINARY);
    const gapsAt = (size: number) =>
      restLinear(
        model.seating,
        model.nominal,
        freeGaps(
          model,
          errors.map((e) => size * e),
        ),
      ).gap;
    const one = gapsAt(1);
    for (const size of [1e-9, 1e-3, 7, 100]) {
      for (const [i, g] of gapsAt(size).entries()) {
        expect(Math.abs(g - size * one[i]!)).toBeLessThan(1e-12 * Math.max(1, size));
      }
    }
  });

  it("shares an error out between springs that cost alike as least squares does", () => {
    const model = cellModel(squareCell(60, 3));
    const linear = linearSeating(model.cell, randomErrors(model.cell, stream, LARGE));
    const { gap } = restLinear(model.seating, model.nominal, linear.free, 1);
    // Normal equations: the weighted gaps are square to every slope.
    for (let c = 0; c < 21; c++) {
      const along = gap.reduce((sum, g, i) => sum + linear.weight[i]! * g * linear.slopes[i * 21 + c]!, 0);
      expect(Math.abs(along)).toBeLessThan(1e-10);
    }
  });

  it("is found in one step without errors, and is nothing", () => {
    const model = cellModel(squareCell(60, 3));
    const rest = restLinear(model.seating, model.nominal, new Float64Array(44));
    expect([...rest.pose].every((q) => q === 0)).toBe(true);
    expect(rest).toMatchObject({ iterations: 1, imbalance: 0 });
  });

  it("ends when gaps that mirror each other are zero but for rounding, for errors of any size", () => {
    for (const [opening, strip] of [...SIZES, [600, 6], [1000, 5]] as const) {
      const model = cellModel(squareCell(opening, strip));
      for (const size of [0.1, 1, 12, 100]) {
        for (let k = 0; k < 20; k++) {
          const errors = sharedErrors(model.cell, stream, { degrees: 0.25 * size, mm: 0.025 * size });
          const rest = restLinear(model.seating, model.nominal, freeGaps(model, errors));
          expect(rest.iterations).toBeLessThan(20);
        }
      }
    }
  });

  it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])("refuses a press ratio of %f", (pressRatio) => {
    const { seating, nominal } = cellModel(squareCell(60, 3));
    const seat = () => restLinear(seating, nominal, new Float64Array(44), pressRatio);
    expect(seat).toThrow(userError("seating"));
    expect(seat).toThrow(/press ratio must be a number greater than zero/);
  });

  it("refuses gaps that are not numbers", () => {
    const { seating, nominal } = cellModel(squareCell(60, 3));
    const free = new Float64Array(44).fill(0.1);
    free[5] = Number.NaN;
    expect(() => restLinear(seating, nominal, free)).toThrow(userError("seating"));
  });
});
