import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { seatBlock } from "../../../src/physics/kernel/fitted-kernel.js";
import { createKernel } from "../../../src/physics/kernel/seating-kernel.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { ORDINARY, randomErrors, squareCell } from "../../checks/validate/cells.js";

const model = cellModel(squareCell(60, 3));
const width = createKernel(model).inputs.draws;
const TRIALS = 600;

function errorVectors(): Float64Array {
  const stream = createStream(8);
  const all = new Float64Array(TRIALS * width);
  for (let k = 0; k < TRIALS; k++) all.set(randomErrors(model.cell, stream, ORDINARY), k * width);
  return all;
}

const room = (trials: number) => ({
  widestGap: new Float64Array(trials),
  deepestPress: new Float64Array(trials),
  gaps: new Float64Array(trials * model.readProbes),
});

describe("seating a block", () => {
  it("gives every trial its own gaps, across batches", () => {
    const kernel = createKernel(model);
    const errors = errorVectors();
    const out = room(TRIALS);
    seatBlock(kernel, errors, TRIALS, out);
    for (const k of [0, 1, 255, 256, 257, 511, 512, TRIALS - 1]) {
      const { gap } = solveEquilibrium(model, errors.slice(k * width, (k + 1) * width), {
        order: "first",
      }).rest;
      const own = out.gaps.subarray(k * model.readProbes, (k + 1) * model.readProbes);
      for (const [i, g] of own.entries()) expect(g).toBeCloseTo(gap[i]!, 10);
      expect(out.widestGap[k]).toBe(Math.max(0, ...own));
      expect(out.deepestPress[k]).toBe(Math.max(0, ...own.map((g) => -g)));
    }
  });

  it("in pieces is the same, bit for bit", () => {
    const kernel = createKernel(model);
    const errors = errorVectors();
    const [whole, piece] = [room(TRIALS), room(7)];
    seatBlock(kernel, errors, TRIALS, whole);
    for (let start = 0; start + 7 <= TRIALS; start += 7) {
      seatBlock(kernel, errors.subarray(start * width), 7, piece);
      expect(piece.widestGap).toEqual(whole.widestGap.slice(start, start + 7));
      expect(piece.deepestPress).toEqual(whole.deepestPress.slice(start, start + 7));
    }
  });

  it("refuses what is not a number, by its place", () => {
    const kernel = createKernel(model);
    const errors = errorVectors();
    errors[3 * width + 5] = Number.NaN;
    expect(() => seatBlock(kernel, errors, 10, room(10))).toThrow(/number 5 of trial 3 is NaN/);
    expect(() => seatBlock(kernel, errors.subarray(0, width), 2, room(2))).toThrow(/trial 1 is undefined/);
  });
});
