import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import type { Order } from "../../../src/model/cell/cell.js";
import { fitLengths } from "../../../src/physics/fitting/fit-lengths.js";
import { createSeater, FittedKernel } from "../../../src/physics/kernel/fitted-kernel.js";
import { createKernel } from "../../../src/physics/kernel/seating-kernel.js";
import {
  errorsOf,
  independentErrors,
  sparseErrors,
  type TrialInputs,
} from "../../../src/physics/kernel/trial-record.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import {
  LARGE,
  ORDINARY,
  randomErrors,
  SIZES,
  type Spread,
  squareCell,
} from "../../checks/validate/cells.js";

const SNUG = 0.02;

/** Largest difference between the two ways over random cells, mm: of any gap, and of any offset. */
function largestDifference(
  [opening, strip]: readonly [number, number],
  order: Order,
  trials: number,
  {
    spread = ORDINARY,
    startsLong = true,
    seed = 1,
  }: { spread?: Spread; startsLong?: boolean; seed?: number } = {},
): { gap: number; offset: number } {
  const model = cellModel(squareCell(opening, strip));
  const kernel = new FittedKernel(model, { snug: SNUG, startsLong }, { order });
  const stream = createStream(seed);
  let [gap, offset] = [0, 0];
  for (let start = 0; start < trials; start += kernel.batchTrials) {
    const count = Math.min(kernel.batchTrials, trials - start);
    for (let k = 0; k < count; k++) kernel.drawsOf(k).set(randomErrors(model.cell, stream, spread));
    kernel.seat(count);
    for (let k = 0; k < count; k++) {
      const { errors, groups } = fitLengths(model, kernel.drawsOf(k), { snug: SNUG, startsLong, order });
      const { rest } = solveEquilibrium(model, errors, { order });
      for (let i = 0; i < model.readProbes; i++)
        gap = Math.max(gap, Math.abs(rest.gap[i]! - kernel.gap(k, i)));
      for (const [g, { wanted }] of groups.entries())
        offset = Math.max(offset, Math.abs(wanted - kernel.wanted(k, g)));
    }
  }
  return { gap, offset };
}

describe("the fitted kernel against the readable fit", () => {
  it.each(SIZES.slice(0, 5))("in first order, %f mm in %f mm strip", (opening, strip) => {
    const { gap, offset } = largestDifference([opening, strip], "first", 40, { seed: opening });
    expect(gap).toBeLessThan(1e-8);
    expect(offset).toBeLessThan(1e-8);
  });

  it("in first order, large errors", () => {
    expect(largestDifference([60, 3], "first", 100, { spread: LARGE }).gap).toBeLessThan(1e-8);
  });

  it("in first order, pieces left too short", () => {
    expect(largestDifference([60, 3], "first", 60, { startsLong: false }).gap).toBeLessThan(1e-8);
  });

  it("in exact order", () => {
    expect(largestDifference([60, 3], "exact", 20).gap).toBeLessThan(1e-8);
    expect(largestDifference([48, 4], "exact", 12, { spread: LARGE }).gap).toBeLessThan(1e-8);
  });
});

describe("the fitted kernel", () => {
  const model = cellModel(squareCell(60, 3));

  it("gives a trial the same bits in any batch", () => {
    const stream = createStream(7);
    const cells = Array.from({ length: 40 }, () => randomErrors(model.cell, stream, ORDINARY));
    const [whole, single] = [1, 2].map(() => new FittedKernel(model, { snug: SNUG }));
    for (const [k, errors] of cells.entries()) whole!.drawsOf(k).set(errors);
    whole!.seat(cells.length);
    for (const [k, errors] of cells.entries()) {
      single!.drawsOf(0).set(errors);
      single!.seat(1);
      expect(single!.widestGap(0)).toBe(whole!.widestGap(k));
      expect(single!.deepestPress(0)).toBe(whole!.deepestPress(k));
      expect(single!.wanted(0, 3)).toBe(whole!.wanted(k, 3));
    }
  });

  it("makes its errors from draws as the other kernels do", () => {
    const stream = createStream(3);
    const base = independentErrors(Float64Array.from({ length: 71 }, () => 0.01));
    const inputs: TrialInputs = { ...base, mean: base.mean.map(() => 0.002 * stream.normal()) };
    const drawn = stream.fill(new Float64Array(inputs.draws));
    const [dense, sparse] = [new Float64Array(71), new Float64Array(71)];
    errorsOf(inputs, drawn, dense);
    sparseErrors(inputs)(drawn, sparse);
    expect(sparse).toEqual(dense);
    const kernel = createSeater(model, { inputs, fitting: { snug: SNUG } });
    kernel.drawsOf(0).set(drawn);
    kernel.seat(1);
    const { errors } = fitLengths(model, dense, { snug: SNUG, order: "first" });
    const { gap } = solveEquilibrium(model, errors, { order: "first" }).rest;
    for (let i = 0; i < model.readProbes; i++) expect(kernel.gap(0, i)).toBeCloseTo(gap[i]!, 9);
  });

  it("is another thing than cells as cut", () => {
    const errors = randomErrors(model.cell, createStream(3), ORDINARY);
    const [cut, fitted] = [createKernel(model), createSeater(model, { fitting: { snug: SNUG } })];
    for (const kernel of [cut, fitted]) {
      kernel!.drawsOf(0).set(errors);
      kernel!.seat(1);
    }
    expect(Math.abs(cut!.widestGap(0) - fitted!.widestGap(0))).toBeGreaterThan(0.01);
  });

  it("refuses a snug limit of nothing", () => {
    expect(() => new FittedKernel(model, { snug: 0 })).toThrow(/snug limit greater than zero/);
  });

  it("counts what it could not fit, and goes on", () => {
    const kernel = new FittedKernel(model, { snug: SNUG });
    // Walls 25 mm too far in: no diagonal is short enough.
    const { length } = kernel.drawsOf(0);
    kernel.drawsOf(0).fill(0);
    for (const offset of [1, 3, 5, 7]) kernel.drawsOf(0)[length - offset] = 25;
    kernel.drawsOf(1).fill(0);
    kernel.seat(2);
    expect(kernel.unfitted).toBeGreaterThan(0);
    expect(kernel.widestGap(1)).toBeLessThan(1e-9);
  });
});
