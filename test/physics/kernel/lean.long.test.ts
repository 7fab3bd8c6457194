import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { arrangePattern } from "../../../src/io/patterns/arrange-pattern.js";
import { shippedPattern, shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import { BENCH_NAMES, benchNamed } from "../../../src/model/cell/benches.js";
import type { Cell } from "../../../src/model/cell/cell.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { createKernel, type SeatingKernel } from "../../../src/physics/kernel/seating-kernel.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { deepSquare, ORDINARY, randomErrors, sharedErrors } from "../../checks/validate/cells.js";
import { benchAngle, benchSoftness } from "./support/benches.js";

/** Largest difference of any gap that counts as the same rest, mm. */
const SAME = 1e-10;
const DEPTH = 12;

type Draw = () => Float64Array;

/** Largest difference of any gap between kernel and readable solver, in both orders. */
function largestDifference(cell: Cell, draw: Draw, count: number): { first: number; exact: number } {
  const model = cellModel(cell);
  const [first, exact] = (["first", "exact"] as const).map((order) => createKernel(model, { order }));
  const largest = { first: 0, exact: 0 };
  for (let k = 0; k < count; k++) {
    const errors = draw();
    for (const kernel of [first!, exact!]) {
      kernel.drawsOf(0).set(errors);
      kernel.seat(1);
    }
    const rests = solveEquilibrium(model, errors);
    for (let i = 0; i < model.readProbes; i++) {
      largest.first = Math.max(largest.first, Math.abs(first!.gap(0, i) - rests.first.gap[i]!));
      largest.exact = Math.max(largest.exact, Math.abs(exact!.gap(0, i) - rests.rest.gap[i]!));
    }
    const read = rests.rest.gap.subarray(0, model.readProbes);
    expect(exact!.widestGap(0)).toBeCloseTo(Math.max(0, ...read), 9);
    expect(exact!.deepestPress(0)).toBeCloseTo(Math.max(0, ...read.map((gap) => -gap)), 9);
  }
  return largest;
}

describe("the kernel agrees with the readable solver on leaning cells", () => {
  it.each([
    [60, 3],
    [40, 4],
    [300, 3],
  ])("of %f mm with %f mm strips", (opening, strip) => {
    const cell = deepSquare(opening, strip, DEPTH);
    const stream = createStream(9100 + opening);
    const { first, exact } = largestDifference(cell, () => randomErrors(cell, stream, ORDINARY), 300);
    expect(first).toBeLessThan(SAME);
    expect(exact).toBeLessThan(SAME);
  });

  it.each(shippedPatterns())("of the pattern %s", (name) => {
    const { arrangement } = arrangePattern(shippedPattern(name), { opening: 60, strip: 3 });
    const cell = compileCell({ ...arrangement!, depth: DEPTH });
    const stream = createStream(42);
    const { first, exact } = largestDifference(cell, () => randomErrors(cell, stream, ORDINARY), 60);
    expect(first).toBeLessThan(SAME);
    expect(exact).toBeLessThan(SAME);
  });

  it("whose mirror-image pieces lean alike", () => {
    const cell = deepSquare(60, 3, DEPTH);
    const stream = createStream(41);
    const { first, exact } = largestDifference(cell, () => sharedErrors(cell, stream, ORDINARY), 200);
    expect(first).toBeLessThan(SAME);
    expect(exact).toBeLessThan(SAME);
  });

  it.each(BENCH_NAMES)("on the bench %s", (name) => {
    const bench = benchNamed(name, { strip: 3, jigAngle: benchAngle(name) });
    const cell = compileCell({ ...bench, depth: DEPTH });
    const stream = createStream(43);
    const { first, exact } = largestDifference(cell, () => randomErrors(cell, stream, ORDINARY), 50);
    expect(first).toBeLessThan(SAME);
    expect(exact).toBeLessThan(benchSoftness(name) * SAME);
  });

  it("and would not if it were told the opposite lean", () => {
    const cell = deepSquare(60, 3, DEPTH);
    const model = cellModel(cell);
    const errors = randomErrors(cell, createStream(44), ORDINARY);
    const kernel = createKernel(model, { order: "exact" });
    const { entries } = errorLayout(cell);
    kernel.drawsOf(0).set(errors.map((error, e) => (entries[e]!.kind === "lean" ? -error : error)));
    kernel.seat(1);
    const { gap } = solveEquilibrium(model, errors).rest;
    const off = Array.from({ length: model.readProbes }, (_, i) => Math.abs(gap[i]! - kernel.gap(0, i)));
    expect(Math.max(...off)).toBeGreaterThan(1e-3);
  });
});

describe.each(["first", "exact"] as const)("leaning cells in %s order", (order) => {
  it("are the same bits in WebAssembly and in plain JavaScript", () => {
    const cell = deepSquare(60, 3, DEPTH);
    const model = cellModel(cell);
    const seated = (engine: "wasm" | "javascript"): BigUint64Array => {
      const kernel: SeatingKernel = createKernel(model, { order, engine });
      for (let k = 0; k < 100; k++) kernel.drawsOf(k).set(randomErrors(cell, createStream(7, k), ORDINARY));
      kernel.seat(100);
      const { readProbes } = model;
      const gaps = Float64Array.from({ length: 100 * readProbes }, (_, k) =>
        kernel.gap(Math.floor(k / readProbes), k % readProbes),
      );
      return new BigUint64Array(gaps.buffer);
    };
    expect(seated("wasm")).toEqual(seated("javascript"));
  });
});
