import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { BENCH_NAMES, benchNamed } from "../../../src/model/cell/benches.js";
import type { Cell, Order } from "../../../src/model/cell/cell.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { createKernel, type SeatingKernel } from "../../../src/physics/kernel/seating-kernel.js";
import { independentErrors } from "../../../src/physics/kernel/trial-record.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { PRESS_RATIO } from "../../../src/physics/seating/seating-model.js";
import {
  DEGREE,
  LARGE,
  ORDINARY,
  randomErrors,
  SIZES,
  type Spread,
  sharedErrors,
  squareCell,
} from "../../checks/validate/cells.js";
import { longIt } from "../../tools/longer.js";
import { userError } from "../../user-error.js";
import { benchAngle, benchSoftness } from "./support/benches.js";

/** Largest difference of any gap that counts as the same rest, mm. */
const SAME = 1e-10;
const FINE: Spread = { degrees: 0.1, mm: 0.03 };

type Draw = (k: number) => Float64Array;

/** Seats `count` cells by kernels of both orders and by the readable solver; the largest difference of any gap. */
function largestDifference(
  cell: Cell,
  draw: Draw,
  count: number,
  pressRatio = PRESS_RATIO,
): { first: number; exact: number } {
  const model = cellModel(cell);
  const kernels = (["first", "exact"] as const).map((order) => createKernel(model, { order, pressRatio }));
  const largest = { first: 0, exact: 0 };
  const batch = kernels[0]!.batchTrials;
  for (let start = 0; start < count; start += batch) {
    const errors = Array.from({ length: Math.min(batch, count - start) }, (_, k) => draw(start + k));
    for (const kernel of kernels) {
      for (const [k, own] of errors.entries()) kernel.drawsOf(k).set(own);
      kernel.seat(errors.length);
    }
    for (const [k, own] of errors.entries()) {
      const { first, rest } = solveEquilibrium(model, own, { pressRatio });
      for (const i of rest.gap.keys()) {
        largest.first = Math.max(largest.first, Math.abs(kernels[0]!.gap(k, i) - first.gap[i]!));
        largest.exact = Math.max(largest.exact, Math.abs(kernels[1]!.gap(k, i) - rest.gap[i]!));
      }
      expect(kernels[1]!.widestGap(k)).toBe(largestOf(kernels[1]!, k, 1));
      expect(kernels[1]!.deepestPress(k)).toBe(largestOf(kernels[1]!, k, -1));
    }
  }
  return largest;
}

const largestOf = (kernel: SeatingKernel, trial: number, sign: number): number =>
  Array.from({ length: kernel.model.readProbes }, (_, i) => sign * kernel.gap(trial, i)).reduce(
    (a, b) => Math.max(a, b),
    0,
  );

const bits = (kernel: SeatingKernel, trials: number): BigUint64Array => {
  const { readProbes } = kernel.model;
  const gaps = Float64Array.from({ length: trials * readProbes }, (_, k) =>
    kernel.gap(Math.floor(k / readProbes), k % readProbes),
  );
  return new BigUint64Array(gaps.buffer);
};

describe("the kernel agrees with the readable solver", () => {
  // 6 sizes × (1,000 + 600 + 67) = 10,002 cells, each in both orders.
  longIt.each(SIZES)("on 1,667 cells of %f mm with %f mm strips", (opening, strip) => {
    const cell = squareCell(opening, strip);
    const stream = createStream(9000 + opening);
    for (const [spread, count] of [
      [FINE, 1000],
      [ORDINARY, 600],
      [LARGE, 67],
    ] as const) {
      const { first, exact } = largestDifference(cell, () => randomErrors(cell, stream, spread), count);
      expect(first).toBeLessThan(SAME);
      expect(exact).toBeLessThan(SAME);
    }
  });

  it("on errors that mirror-image pieces share: zeros, kinks and saddles", () => {
    const cell = squareCell(60, 3);
    const stream = createStream(31);
    const { first, exact } = largestDifference(cell, () => sharedErrors(cell, stream, ORDINARY), 300);
    expect(first).toBeLessThan(SAME);
    expect(exact).toBeLessThan(SAME);
  });

  it("on no errors at all", () => {
    const cell = squareCell(60, 3);
    const none = new Float64Array(errorLayout(cell).entries.length);
    const { first, exact } = largestDifference(cell, () => none, 1);
    expect(Math.max(first, exact)).toBeLessThan(1e-13);
  });

  it.each([1, 30, 1e5])("at a press ratio of %f", (pressRatio) => {
    const cell = squareCell(60, 3);
    const stream = createStream(32);
    const { first, exact } = largestDifference(
      cell,
      () => randomErrors(cell, stream, ORDINARY),
      100,
      pressRatio,
    );
    expect(first).toBeLessThan(SAME);
    expect(exact).toBeLessThan(SAME);
  });

  it.each(BENCH_NAMES)("on the bench %s", (name) => {
    const cell = compileCell(benchNamed(name, { strip: 3, jigAngle: benchAngle(name) }));
    const stream = createStream(33);
    const { first, exact } = largestDifference(cell, () => randomErrors(cell, stream, FINE), 100);
    expect(first).toBeLessThan(SAME);
    expect(exact).toBeLessThan(benchSoftness(name) * SAME);
  });

  it("and would not if it had other springs", () => {
    const model = cellModel(squareCell(60, 3));
    const errors = randomErrors(model.cell, createStream(34), FINE);
    const kernel = createKernel(model, { pressRatio: 900 });
    kernel.drawsOf(0).set(errors);
    kernel.seat(1);
    const { gap } = solveEquilibrium(model, errors, { order: "first" }).rest;
    expect(Math.max(...Array.from(gap, (g, i) => Math.abs(g - kernel.gap(0, i))))).toBeGreaterThan(1e-6);
  });
});

describe.each<Order>(["first", "exact"])("in %s order", (order) => {
  const model = cellModel(squareCell(60, 3));
  const make = (engine?: "wasm" | "javascript") =>
    createKernel(model, engine ? { order, engine } : { order });
  const fill = (kernel: SeatingKernel, trials: number, from = 0): void => {
    for (let k = 0; k < trials; k++) {
      kernel.drawsOf(k).set(randomErrors(model.cell, createStream(1, from + k), ORDINARY));
    }
  };

  it("WebAssembly and plain JavaScript give the same bits", () => {
    const [wasm, plain] = [make("wasm"), make("javascript")];
    expect([wasm.engine, plain.engine]).toEqual(["wasm", "javascript"]);
    for (const kernel of [wasm, plain]) {
      fill(kernel, 256);
      kernel.seat(256);
    }
    expect(bits(wasm, 256)).toEqual(bits(plain, 256));
  });

  it("a trial's result does not depend on those beside it", () => {
    const [together, alone] = [make(), make()];
    fill(together, 101);
    together.seat(101);
    const all = bits(together, 101);
    const probes = model.readProbes;
    for (let k = 0; k < 101; k += 5) {
      fill(alone, 1, k);
      alone.seat(1);
      expect(bits(alone, 1)).toEqual(all.slice(k * probes, (k + 1) * probes));
    }
  });
});

describe("the kernel's inputs", () => {
  it("multiply the draws", () => {
    const model = cellModel(squareCell(60, 3));
    const { entries } = errorLayout(model.cell);
    const deviations = Float64Array.from(entries, ({ kind }) => (kind === "angle" ? 0.2 * DEGREE : 0.02));
    const [direct, scaled] = [
      createKernel(model),
      createKernel(model, { inputs: independentErrors(deviations) }),
    ];
    const draws = createStream(2).fill(new Float64Array(entries.length));
    direct.drawsOf(0).set(draws.map((z, i) => z * deviations[i]!));
    scaled.drawsOf(0).set(draws);
    direct.seat(1);
    scaled.seat(1);
    for (let i = 0; i < model.readProbes; i++) expect(scaled.gap(0, i)).toBeCloseTo(direct.gap(0, i), 13);
  });

  it("share a source between all errors that it acts on, about a mean", () => {
    const model = cellModel(squareCell(60, 3));
    const { entries } = errorLayout(model.cell);
    const isAngle = entries.map(({ kind }) => kind === "angle");
    const inputs = {
      mean: Float64Array.from(isAngle, (angle) => (angle ? 0 : 0.01)),
      matrix: Float64Array.from(isAngle, (angle) => (angle ? 0.1 * DEGREE : 0)),
      draws: 1,
    };
    for (const order of ["first", "exact"] as const) {
      const [shared, direct] = [createKernel(model, { order, inputs }), createKernel(model, { order })];
      shared.drawsOf(0)[0] = -1.5;
      direct.drawsOf(0).set(isAngle.map((angle) => (angle ? -0.15 * DEGREE : 0.01)));
      shared.seat(1);
      direct.seat(1);
      for (let i = 0; i < model.readProbes; i++) expect(shared.gap(0, i)).toBeCloseTo(direct.gap(0, i), 11);
    }
  });
});

it("inputs that do not fit the cell are refused", () => {
  const inputs = { mean: new Float64Array(3), matrix: new Float64Array(3), draws: 1 };
  expect(() => createKernel(cellModel(squareCell(60, 3)), { inputs })).toThrow(/a mean of 71 errors/);
});

it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])("a press ratio of %f is refused", (pressRatio) => {
  expect(() => createKernel(cellModel(squareCell(60, 3)), { pressRatio })).toThrow(userError("seating"));
});
