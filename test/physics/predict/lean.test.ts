import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { type BenchName, benchNamed } from "../../../src/model/cell/benches.js";
import type { Cell } from "../../../src/model/cell/cell.js";
import { type AsCut, asCutErrors, errorLayout, noErrors } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium, solveWithSlopes } from "../../../src/physics/predict/equilibrium.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { errorDirections } from "../../../src/physics/sensitivity/error-directions.js";
import { sensitivityTable } from "../../../src/physics/sensitivity/sensitivity.js";
import { directionText } from "../../../src/render/source-text.js";
import { DEGREE, deepSquare, ORDINARY, randomErrors, squareCell } from "../../checks/validate/cells.js";
import { ownGaps } from "../../checks/validate/seating-exact.js";
import { longIt } from "../../tools/longer.js";

const DEPTH = 12;
const EXACT = 1e-12;
const LEANS = [-2, -0.3, 0.05, 0.3, 2].map((degrees) => degrees * DEGREE);
const ORDERS = ["first", "exact"] as const;

const deepBench = (name: BenchName, degrees: number, depth = DEPTH): Cell =>
  compileCell({ ...benchNamed(name, { strip: 3, jigAngle: degrees * DEGREE }), depth });

/** Gaps by joint, end and side. */
function gapsOf(cell: Cell, asCut: AsCut, options: Parameters<typeof predictCell>[2]): Map<string, number> {
  const { probes } = predictCell(cell, asCutErrors(cell, asCut), options);
  return new Map(probes.map(({ joint, at, side, gap }) => [`${joint} ${at} ${side}`, gap]));
}

/** The same lean of every cut of a piece. */
const leaning = (cell: Cell, piece: string, lean: (face: string) => number): AsCut => ({
  pieces: {
    [piece]: {
      cuts: Object.fromEntries(
        cell.pieces
          .find(({ name }) => name === piece)!
          .cuts.filter(({ role }) => role !== "square")
          .map(({ face }) => [face, { lean: lean(face) }]),
      ),
    },
  },
});

/*
 * Closed forms. A face that leans by λ on strips of depth d stands a = λ·d/2 further out at the front and as much further in at the back.
 * Where its piece can give way along the face's normal, by s at both sides, its free gaps s − a and s + a come to rest where K·(s − a) + (s + a) = 0 (λ > 0):
 * the front is pressed by 2a/(K + 1), the back opens by 2a·K/(K + 1), and they differ by λ·d. Where it cannot give way the gaps are −a and +a.
 * The rest is a slide without a turn, so first and exact order are the same.
 */
const pressedSide = (lean: number, depth: number, K: number): number => (-Math.abs(lean) * depth) / (K + 1);
const openSide = (lean: number, depth: number, K: number): number => (Math.abs(lean) * depth * K) / (K + 1);

describe.each([
  ["straightedge", 22.5, "bevel", "straightedge"],
  ["straightedge", 45, "bevel", "straightedge"],
  ["corner-90", 45, "point", "reference"],
  ["corner-45", 67.5, "point", "reference"],
] as const)("on the bench %s at %f°", (name, degrees, piece, mate) => {
  it.each([1000, 10, 1])("a leaning face is pressed at one side and open at the other at K = %f", (K) => {
    for (const depth of [6, 12]) {
      const cell = deepBench(name, degrees, depth);
      for (const lean of LEANS) {
        for (const order of ORDERS) {
          const options = { order, pressRatio: K };
          const gaps = gapsOf(
            cell,
            leaning(cell, piece, () => lean),
            options,
          );
          expect(gaps.size).toBe(4 * cell.joints.length);
          for (const [place, gap] of gaps) {
            const out = place.endsWith("front") === lean > 0;
            const expected = out ? pressedSide(lean, depth, K) : openSide(lean, depth, K);
            const leans = place.includes(`|${mate}`);
            expect(Math.abs(gap - (leans ? expected : 0)), place).toBeLessThan(EXACT);
          }
        }
      }
    }
  });
});

describe("a point in its corner", () => {
  it.each(ORDERS)(
    "whose faces lean opposite ways has the pressed side of one across from the open side of the other, %s order",
    (order) => {
      for (const [name, degrees] of [
        ["corner-90", 45],
        ["corner-45", 67.5],
      ] as const) {
        const cell = deepBench(name, degrees);
        const lean = 0.4 * DEGREE;
        const asCut = leaning(cell, "point", (face) => (face.endsWith("left") ? lean : -lean));
        for (const [place, gap] of gapsOf(cell, asCut, { order })) {
          const out = place.startsWith("point.start-left") === place.endsWith("front");
          const expected = (out ? pressedSide : openSide)(lean, DEPTH, 1000);
          expect(Math.abs(gap - expected), place).toBeLessThan(EXACT);
        }
      }
    },
  );
});

describe.each(ORDERS)("a mitre between two hinge ends in %s order", (order) => {
  const cell = deepBench("mitre-pair", 22.5);
  const lean = 0.25 * DEGREE;
  const mitres = (a: number, b: number): AsCut => ({
    pieces: {
      "hinge-a": { cuts: { "end-right": { lean: a } } },
      "hinge-b": { cuts: { "end-left": { lean: b } } },
    },
  });

  it("stays closed when one leans as far out as the other leans in", () => {
    for (const gap of gapsOf(cell, mitres(lean, -lean), { order }).values())
      expect(Math.abs(gap)).toBeLessThan(EXACT);
  });

  it("opens twice as far when both lean outward at the same side", () => {
    for (const [place, gap] of gapsOf(cell, mitres(lean, lean), { order })) {
      if (!place.includes("hinge-a.end-right|hinge-b")) continue;
      const expected = (place.endsWith("front") ? pressedSide : openSide)(2 * lean, DEPTH, 1000);
      expect(Math.abs(gap - expected), place).toBeLessThan(EXACT);
    }
  });
});

describe.each(ORDERS)("a diagonal between its corners in %s order", (order) => {
  const cell = deepSquare(60, 3, DEPTH);
  const lean = 0.2 * DEGREE;
  const a = (lean * DEPTH) / 2;

  it.each([
    ["alike at both ends", () => lean],
    ["opposite ways at its two ends", (face: string) => (face.startsWith("start") ? lean : -lean)],
  ] as const)("leaning %s cannot give way: ∓λ·d/2 about a mean of zero", (_, leanOf) => {
    const gaps = gapsOf(cell, leaning(cell, "diagonal", leanOf), { order });
    let read = 0;
    for (const [place, gap] of gaps) {
      const own = place.startsWith("diagonal.");
      const out = leanOf(place.split(".")[1]!) > 0 === place.endsWith("front");
      expect(Math.abs(gap - (own ? (out ? -a : a) : 0)), place).toBeLessThan(EXACT);
      if (own) read++;
    }
    expect(read).toBe(16);
  });
});

describe("a cell with a depth and no lean", () => {
  it.each(ORDERS)("is the flat cell twice over in %s order", (order) => {
    const [flat, deep] = [squareCell(60, 3), deepSquare(60, 3, DEPTH)];
    const from = errorLayout(flat);
    const to = errorLayout(deep);
    const stream = createStream(51);
    for (let k = 0; k < 20; k++) {
      const errors = randomErrors(flat, stream, ORDINARY);
      const same = noErrors(deep);
      for (const [i, { kind, owner, face }] of from.entries.entries())
        same[to.indexOf(kind, owner, face)] = errors[i]!;
      const [one, two] = [predictCell(flat, errors, { order }), predictCell(deep, same, { order })];
      expect(two.probes).toHaveLength(2 * one.probes.length);
      for (const [i, { joint, at, side, gap }] of two.probes.entries()) {
        const before = one.probes[i % one.probes.length]!;
        expect([joint, at]).toEqual([before.joint, before.at]);
        expect(side).toBe(i < one.probes.length ? "front" : "back");
        expect(Math.abs(gap - before.gap)).toBeLessThan(1e-9);
      }
      expect(two.openArea).toBeCloseTo(one.openArea, 8);
      expect("side" in one.probes[0]!).toBe(false);
    }
  });
});

describe("leaning cells", () => {
  const cell = deepSquare(60, 3, DEPTH);
  const { entries } = errorLayout(cell);
  const reversed = (errors: Float64Array) =>
    errors.map((error, e) => (entries[e]!.kind === "lean" ? -error : error));

  it("have the gaps that lines drawn through their faces have, front and back", () => {
    const stream = createStream(54);
    for (let k = 0; k < 10; k++) {
      const errors = randomErrors(cell, stream, ORDINARY);
      const { probes, rest } = predictCell(cell, errors);
      const own = ownGaps(cell, errors, rest.pose);
      expect(own).toHaveLength(probes.length);
      for (const [i, { gap }] of probes.entries()) expect(Math.abs(gap - own[i]!)).toBeLessThan(1e-11);
      // Against the other sign of the lean they would not agree.
      expect(Math.abs(probes[0]!.gap - ownGaps(cell, reversed(errors), rest.pose)[0]!)).toBeGreaterThan(1e-5);
    }
  });

  it.each(ORDERS)("seen from behind have front and back exchanged, %s order", (order) => {
    const stream = createStream(52);
    for (let k = 0; k < 20; k++) {
      const errors = randomErrors(cell, stream, ORDINARY);
      const here = predictCell(cell, errors, { order });
      const behind = predictCell(cell, reversed(errors), { order });
      const half = here.probes.length / 2;
      for (const [i, { gap }] of here.probes.entries())
        expect(Math.abs(gap - behind.probes[(i + half) % (2 * half)]!.gap)).toBeLessThan(1e-8);
      expect(behind.widestGap).toBeCloseTo(here.widestGap, 8);
      expect(behind.deepestPress).toBeCloseTo(here.deepestPress, 8);
    }
  });

  it("have orders that agree at zero and part with the square of the lean", () => {
    const leans = (size: number) =>
      Float64Array.from(entries, ({ kind, face }) =>
        kind === "lean" ? (face!.endsWith("left") ? 1 : -0.6) * size : 0,
      );
    expect(predictCell(cell, leans(0)).firstOrderDifference).toBeLessThan(EXACT);
    expect(predictCell(cell, leans(0)).widestGap).toBeLessThan(EXACT);
    const apart = [0.4, 0.2, 0.1].map(
      (degrees) => predictCell(cell, leans(degrees * DEGREE)).firstOrderDifference,
    );
    expect(apart[0]!).toBeGreaterThan(1e-6);
    for (const [i, d] of apart.slice(1).entries()) {
      expect(apart[i]! / d).toBeGreaterThan(3.5);
      expect(apart[i]! / d).toBeLessThan(4.5);
    }
  });

  it.each(ORDERS)("have slopes by lean that agree with differences of the prediction, %s order", (order) => {
    const model = cellModel(cell);
    const stream = createStream(53);
    let errors = randomErrors(cell, stream, ORDINARY);
    while (solveEquilibrium(model, errors, { order }).rest.gap.some((gap) => Math.abs(gap) < 1e-4))
      errors = randomErrors(cell, stream, ORDINARY);
    const { slopes } = solveWithSlopes(model, errors, { order });
    const step = 1e-6;
    for (const [c, { kind }] of entries.entries()) {
      if (kind !== "lean") continue;
      const at = (sign: number) =>
        solveEquilibrium(model, errors.with(c, errors[c]! + sign * step), { order }).rest.gap;
      const [plus, minus] = [at(1), at(-1)];
      for (let i = 0; i < model.readProbes; i++) {
        const difference = (plus[i]! - minus[i]!) / (2 * step);
        expect(Math.abs(difference - slopes[i * entries.length + c]!)).toBeLessThan(1e-3);
      }
    }
  });

  longIt("have sensitivities that agree by three ways", () => {
    const leans = errorDirections(cell).filter(({ id }) => id.kind === "lean");
    expect(leans.map(({ id }) => directionText(id))).toEqual([
      "lean of ramp 45°",
      "lean of ramp 67.5°",
      "lean of ramp 22.5°",
    ]);
    for (const { byModel, widestGap, difference } of sensitivityTable(cell, leans)) {
      expect(byModel).toHaveLength(88);
      expect(widestGap).toBeGreaterThan(1);
      expect(difference).toBeLessThan(1e-2 * widestGap);
    }
  });

  it("are refused beyond 10°, and where the faces no longer meet", () => {
    const lean = (degrees: number) => leaning(cell, "diagonal", () => degrees * DEGREE);
    expect(() => predictCell(cell, asCutErrors(cell, lean(10.1)))).toThrow(
      /The lean error of diagonal\.start-left is 10\.10°; the model speaks of at most 10°/,
    );
    const thick = deepSquare(60, 3, 30);
    expect(() => predictCell(thick, asCutErrors(thick, lean(9)))).toThrow(/the faces no longer meet/);
    expect(() => predictCell(cell, asCutErrors(cell, lean(Number.NaN)))).toThrow(/is not a number/);
  });

  it("need a depth, greater than zero", () => {
    const flat = squareCell(60, 3);
    expect(() =>
      asCutErrors(
        flat,
        leaning(flat, "diagonal", () => 0.01),
      ),
    ).toThrow(/No error .* lean/);
    for (const depth of [0, -1, Number.NaN, Number.POSITIVE_INFINITY])
      expect(() => deepSquare(60, 3, depth)).toThrow(
        /depth of the strips must be a length greater than zero/,
      );
  });
});
