import { describe, expect, it } from "vitest";
import { asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { errorDirections } from "../../../src/physics/sensitivity/error-directions.js";
import {
  sensitivityTable,
  slopesByModel,
  slopesBySteps,
  worstAlong,
} from "../../../src/physics/sensitivity/sensitivity.js";
import { slopesBySymbols } from "../../../src/physics/sensitivity/symbolic-slopes.js";
import { directionText } from "../../../src/render/source-text.js";
import { longIt } from "../../tools/longer.js";

const SIZES: readonly (readonly [opening: number, strip: number])[] = [
  [60, 3],
  [45, 4],
  [2.375 * 25.4, 25.4 / 8],
];
/** Sines and cosines that the closed forms of docs/model.md need. */
const COS = (degrees: number): number => Math.cos((degrees * Math.PI) / 180);
/** A pressed face gives way by a thousandth of what an open one stands off. */
const YIELDS = 2e-3;

describe.each(SIZES)("a cell of %f mm with strips of %f mm", (opening, strip) => {
  const cell = compileCell(asanohaSquare({ opening, strip }));
  const table = sensitivityTable(cell);
  const of = (name: string, word: string) =>
    table.find(({ source, word: said }) => directionText(source.id) === name && said === word)!;
  const near = (found: number, wanted: number): void =>
    expect(Math.abs(found / wanted - 1)).toBeLessThan(YIELDS);

  it("has every kind of error in both senses, by three ways that agree", () => {
    expect(table).toHaveLength(2 * 20);
    for (const { bySymbols, byModel, bySteps, difference } of table) {
      for (const [i, gap] of byModel.entries()) {
        expect(Math.abs(gap - bySymbols[i]!)).toBeLessThan(1e-9);
        // Per rad; exact order and its steps go no further.
        expect(Math.abs(gap - bySteps[i]!)).toBeLessThan(2e-5);
      }
      expect(difference).toBeLessThan(2e-5);
    }
  });

  it("opens the heels of sharp points by the length of their faces, and presses nothing", () => {
    near(of("ramp 45°", "sharp").widestGap, strip / 2 / COS(45));
    near(of("ramp 67.5°", "sharp").widestGap, strip / 2 / COS(67.5));
    expect(of("ramp 45°", "sharp").widest?.at).toBe("heel");
    for (const name of ["ramp 45°", "ramp 67.5°"])
      expect(of(name, "sharp").deepestPress).toBeLessThan(YIELDS * of(name, "sharp").widestGap);
  });

  it("has blunt points act as pieces that are too long", () => {
    for (const name of ["ramp 45°", "ramp 67.5°"])
      expect(of(name, "blunt").deepestPress).toBeGreaterThan(0.7 * of(name, "sharp").widestGap);
  });

  it("opens the faces of a diagonal by half of what it is short, seen across them", () => {
    near(of("stop of diagonal.end", "short").widestGap, COS(45) / 2);
    expect(of("stop of diagonal.end", "long").widestGap).toBeLessThan(1e-3);
  });

  it("opens the corners by half the opening's turn when the grid is racked, and by half of what the opening is large", () => {
    near(of("grid racked", "to the right").widestGap, opening / 2);
    expect(of("grid racked", "to the left").widestGap).toBeLessThan(0.05 * opening);
    expect(of("all walls", "inward").widestGap).toBeLessThan(YIELDS);
    expect(of("all walls", "outward").widestGap).toBeGreaterThan(0.4);
  });

  it("is alike for the two sides that a point can be off its centre to", () => {
    for (const group of ["diagonal.start", "key.end", "hinge.point"]) {
      const [left, right] = [of(`${group} off centre`, "left"), of(`${group} off centre`, "right")];
      expect(left.widestGap).toBeCloseTo(right.widestGap, 9);
    }
  });
});

describe("the three ways", () => {
  const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
  const ramp = errorDirections(cell).find(({ id }) => directionText(id) === "ramp 22.5°")!.errors;
  const most = (a: Float64Array, b: Float64Array): number =>
    a.reduce((worst, value, i) => Math.max(worst, Math.abs(value - b[i]!)), 0);

  longIt("would part if one of them were wrong", () => {
    const right = slopesByModel(cell, ramp);
    const blunt = slopesBySymbols(
      cell,
      ramp.map((value) => -value),
    );
    expect(
      most(
        right,
        blunt.map((gap) => -gap),
      ),
    ).toBeGreaterThan(0.1);
    const oneCutLess = ramp.slice();
    oneCutLess[ramp.findIndex((value) => value !== 0)] = 0;
    expect(most(right, slopesBySymbols(cell, oneCutLess))).toBeGreaterThan(0.1);
    expect(most(right, slopesBySteps(cell, oneCutLess))).toBeGreaterThan(0.1);
  });

  it("take steps whose error falls with their square", () => {
    const right = slopesByModel(cell, ramp);
    const [coarse, fine] = [4e-3, 1e-3].map((step) => most(right, slopesBySteps(cell, ramp, step)));
    expect(coarse! / fine!).toBeGreaterThan(10);
    expect(coarse! / fine!).toBeLessThan(25);
  });
});

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
  for (const row of rows) expect(row.widestGap).not.toBe(row.firstOrderGap);
  const ratio = rows[2]!.firstOrderDifference / rows[1]!.firstOrderDifference;
  expect(ratio).toBeGreaterThan(3);
  expect(ratio).toBeLessThan(5);
});
