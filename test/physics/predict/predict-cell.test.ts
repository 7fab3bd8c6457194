import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { benchNamed } from "../../../src/model/cell/benches.js";
import { type AsCut, asCutErrors, noErrors } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { DEGREE, ORDINARY, randomErrors, squareCell } from "../../checks/validate/cells.js";
import { userError } from "../../user-error.js";

const cell = squareCell(60, 3);
const predicted = (asCut: AsCut) => predictCell(cell, asCutErrors(cell, asCut));

describe("a prediction", () => {
  const errors = randomErrors(cell, createStream(91), ORDINARY);
  const [first, exact] = (["first", "exact"] as const).map((order) => predictCell(cell, errors, { order }));

  it("is exact unless first order is asked for", () => {
    expect(predictCell(cell, errors).probes).toEqual(exact!.probes);
    expect([first!.order, exact!.order]).toEqual(["first", "exact"]);
  });

  it("names every probe once, joint by joint, toe before heel", () => {
    const places = exact!.probes.map(({ joint, at }) => `${joint} ${at}`);
    expect(new Set(places).size).toBe(44);
    expect(places).toEqual(cell.joints.flatMap(({ name }) => [`${name} toe`, `${name} heel`]));
  });

  it("gives the largest opening, the deepest press and the largest difference between the orders", () => {
    for (const prediction of [first!, exact!]) {
      const gaps = prediction.probes.map(({ gap }) => gap);
      expect(prediction.widestGap).toBe(Math.max(...gaps));
      expect(prediction.deepestPress).toBe(-Math.min(...gaps));
      const apart = first!.probes.map(({ gap }, i) => Math.abs(gap - exact!.probes[i]!.gap));
      expect(prediction.firstOrderDifference).toBe(Math.max(...apart));
    }
  });

  it("has the open area that summing thin slices of every joint gives", () => {
    const SLICES = 20_000;
    const area = cell.joints.reduce((sum, { length }, j) => {
      const [toe, heel] = [exact!.probes[2 * j]!.gap, exact!.probes[2 * j + 1]!.gap];
      let open = 0;
      for (let k = 0; k < SLICES; k++) open += Math.max(0, toe + ((k + 0.5) / SLICES) * (heel - toe));
      return sum + (open / SLICES) * length;
    }, 0);
    // Midpoint slices err by no more than a slice's own triangle where a joint closes.
    expect(Math.abs(exact!.openArea / area - 1)).toBeLessThan(1e-7);
    expect(area).toBeGreaterThan(0.01);
  });

  it("does not count pins as places to read, and reads joints that are only brought together", () => {
    const bench = compileCell(benchNamed("reversal", { strip: 3, jigAngle: 45 * DEGREE }));
    expect(predictCell(bench, noErrors(bench)).probes).toHaveLength(6);
  });

  it("leaves the errors it was given as they were", () => {
    const before = Float64Array.from(errors);
    predictCell(cell, errors);
    expect(errors).toEqual(before);
  });

  it("is the same from a cell and from its model", () => {
    expect(predictCell(cellModel(cell), errors)).toEqual(exact);
  });
});

describe("errors beyond what a cell can have are refused", () => {
  it("too few or too many", () => {
    for (const length of [0, 70, 72]) {
      expect(() => predictCell(cell, new Float64Array(length))).toThrow(userError("cutting-error"));
      expect(() => predictCell(cell, new Float64Array(length))).toThrow(
        `An error vector of asanoha-square holds 71 values; this one holds ${length}.`,
      );
    }
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY])("%f", (axial) => {
    const wrong = () => predicted({ pieces: { "hinge-1": { cuts: { "end-left": { axial } } } } });
    expect(wrong).toThrow(userError("cutting-error"));
    expect(wrong).toThrow("The axial error of hinge-1.end-left is not a number.");
  });

  it("an angle that is the jig's own", () => {
    const wrong = () => predicted({ pieces: { "key-1": { cuts: { "end-left": { angle: 45 * DEGREE } } } } });
    expect(wrong).toThrow(userError("cutting-error"));
    expect(wrong).toThrow(/angle error of key-1\.end-left is 45\.00°.*at most 10°/);
    expect(() => predicted({ walls: { "wall-top": { turn: -11 * DEGREE } } })).toThrow(/-11\.00°/);
  });

  it.each([3, -3, 3.05, -60, 60])("a thickness error of %f mm on 3 mm strip", (thickness) => {
    for (const piece of ["diagonal", "hinge-2", "key-2"]) {
      const wrong = () => predicted({ pieces: { [piece]: { thickness } } });
      expect(wrong).toThrow(userError("cutting-error"));
      expect(wrong).toThrow(`thickness error of ${piece} is no smaller than the strip: ${thickness} mm`);
    }
  });

  it("a cut so deep that a face vanishes", () => {
    const wrong = () => predicted({ pieces: { "hinge-1": { cuts: { "end-right": { axial: 1 } } } } });
    expect(wrong).toThrow(userError("cutting-error"));
    expect(wrong).toThrow(/the face hinge-1\.end-right vanishes/);
  });

  it("but pieces that only slide past each other are named, not refused", () => {
    const askew = { "start-left": { angle: 9 * DEGREE }, "start-right": { angle: -9 * DEGREE } };
    const { slid } = predicted({ pieces: { "hinge-1": { cuts: askew } } });
    expect(slid).toContain("hinge-1.end-right|hinge-2.end-left");
    expect(predicted({}).slid).toEqual([]);
  });

  it("a gap wider than the strip is thick", () => {
    const short = { axial: -10 };
    const cuts = { "start-left": short, "start-right": short };
    const wrong = () => predicted({ pieces: { diagonal: { cuts } } });
    expect(wrong).toThrow(userError("cutting-error"));
    expect(wrong).toThrow(/in diagonal\.start-(left\|wall-left|right\|wall-bottom) the faces no longer meet/);
  });

  it("in first order as well", () => {
    const errors = asCutErrors(cell, { pieces: { "hinge-1": { cuts: { "end-right": { axial: 1 } } } } });
    expect(() => predictCell(cell, errors, { order: "first" })).toThrow(/vanishes/);
  });

  it("and a press ratio that is none", () => {
    for (const pressRatio of [0, -1000, Number.NaN]) {
      expect(() => predictCell(cell, noErrors(cell), { pressRatio })).toThrow(userError("seating"));
    }
  });

  it("but large ones that leave a cell are not", () => {
    expect(
      predicted({ pieces: { "key-1": { cuts: { "end-left": { axial: 0.9 } } } } }).widestGap,
    ).toBeGreaterThan(0);
    expect(predicted({ pieces: { diagonal: { thickness: 0.9 } } }).deepestPress).toBeGreaterThan(0.1);
  });
});
