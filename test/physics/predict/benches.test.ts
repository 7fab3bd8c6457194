import { describe, expect, it } from "vitest";
import { CLOSING_SEAT_SHARE } from "../../../src/model/cell/asanoha-square.js";
import { type BenchName, benchNamed } from "../../../src/model/cell/benches.js";
import type { Cell } from "../../../src/model/cell/cell.js";
import { type AsCut, asCutErrors } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import type { EquilibriumOptions } from "../../../src/physics/predict/equilibrium.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { DEGREE, squareCell } from "../../checks/validate/cells.js";

const bench = (name: BenchName, degrees: number, strip = 3): Cell =>
  compileCell(benchNamed(name, { strip, jigAngle: degrees * DEGREE }));

/** Both cuts of a point alike, on every piece named. */
const points = (pieces: readonly string[], angle: number): NonNullable<AsCut["pieces"]> =>
  Object.fromEntries(
    pieces.map((piece) => [piece, { cuts: { "start-left": { angle }, "start-right": { angle } } }]),
  );

function gapsOf(cell: Cell, asCut: AsCut, options: EquilibriumOptions): Map<string, number> {
  const { probes } = predictCell(cell, asCutErrors(cell, asCut), options);
  return new Map(probes.map(({ joint, at, gap }) => [`${joint} ${at}`, gap]));
}

const lengthOf = (cell: Cell, joint: string): number =>
  cell.joints.find(({ name }) => name === joint)!.length;

const ANGLES = [-1, -0.1, 0.1, 0.5, 1, 3].map((degrees) => degrees * DEGREE);

/*
 * Closed forms. A point sharper by δ on both faces, pressed home, has free gaps 0 at the toe and w·δ (exactly w·tan δ) at the heel of each face, w its length. It can only
 * slide along its axis, which changes all four alike; the least of K·toe² + heel² shares them 1 : K. Blunt: toe and heel change places.
 * First order has δ where exact order has tan δ; beyond that both are held to rounding.
 */
describe.each([
  ["corner-90", 45],
  ["corner-45", 67.5],
] as const)("in the bench %s", (name, degrees) => {
  for (const strip of [1, 3, 6]) {
    const cell = bench(name, degrees, strip);
    const w = strip / 2 / Math.cos(degrees * DEGREE);
    for (const pressRatio of [1000, 10, 1]) {
      it(`${strip} mm: a sharp point opens its heels, a blunt one its toes, at K = ${pressRatio}`, () => {
        for (const delta of ANGLES) {
          const asCut = { pieces: points(["point"], delta) };
          for (const order of ["first", "exact"] as const) {
            const size = w * (order === "first" ? Math.abs(delta) : Math.tan(Math.abs(delta)));
            const gaps = gapsOf(cell, asCut, { order, pressRatio });
            expect(gaps.size).toBe(4);
            for (const [place, gap] of gaps) {
              const open = place.endsWith(delta > 0 ? "heel" : "toe");
              const expected = (size * (open ? pressRatio : -1)) / (pressRatio + 1);
              expect(Math.abs(gap - expected), place).toBeLessThan(1e-12);
            }
          }
        }
      });
    }
  }

  it("hides the stop: a longer point only slides", () => {
    const asCut = {
      pieces: { point: { cuts: { "start-left": { axial: 0.2 }, "start-right": { axial: 0.2 } } } },
    };
    for (const order of ["first", "exact"] as const)
      for (const gap of gapsOf(bench(name, degrees), asCut, { order }).values())
        expect(Math.abs(gap)).toBeLessThan(1e-12);
  });

  it("takes a reference that is open by τ for a point sharper by τ/2", () => {
    const cell = bench(name, degrees);
    const turn = 0.2 * DEGREE;
    const wide = gapsOf(cell, { walls: { "reference-left": { turn } } }, { order: "first" });
    const sharp = gapsOf(cell, { pieces: points(["point"], turn / 2) }, { order: "first" });
    for (const [place, gap] of wide) expect(Math.abs(gap - sharp.get(place)!)).toBeLessThan(1e-12);
  });
});

/*
 * A bevel against a straightedge, w long, its side against a fence over ℓ. It slides freely along the fence, so toe and heel share their difference 1 : K and act as one
 * spring of stiffness (w/2)·K/(K + 1) against a turn; so does the fence with ℓ. A bevel off by δ turns the piece by θ = δ·w³/(w³ + ℓ³), and what shows is
 * w·(δ − θ)·K/(K + 1) = w·δ·ℓ³/(w³ + ℓ³)·K/(K + 1).
 * Two mitres, each off by δ, meet with 2δ; each fence gives: 2·w·δ·ℓ³/(2·w³ + ℓ³)·K/(K + 1).
 */
const SHARE = 1000 / 1001;

describe.each([0, 22.5, 45, 67.5])("on the straightedge, a bevel of %f°", (degrees) => {
  const cell = bench("straightedge", degrees);
  const joint = "bevel.end-left|straightedge";
  const w = lengthOf(cell, joint);
  const fence = lengthOf(cell, "bevel.right|fence");
  const shown = (w * fence ** 3 * SHARE) / (w ** 3 + fence ** 3);

  it("is as long as the strip is thick across its slope", () => {
    expect(w).toBeCloseTo(3 / Math.cos(degrees * DEGREE), 9);
  });

  it("opens its heel when too steep, its toe when too flat", () => {
    for (const delta of ANGLES) {
      const asCut = { pieces: { bevel: { cuts: { "end-left": { angle: delta } } } } };
      const first = gapsOf(cell, asCut, { order: "first" });
      const open = `${joint} ${delta > 0 ? "heel" : "toe"}`;
      expect(Math.abs(first.get(open)! - shown * Math.abs(delta))).toBeLessThan(1e-11);
      // Exact order sees tan δ and the lean of the slide: of the order δ² of itself for a slope, here 3 δ·tan J at most.
      const exact = gapsOf(cell, asCut, { order: "exact" });
      const bound = (3 * Math.tan(degrees * DEGREE) + 1) * Math.abs(delta);
      expect(Math.abs(exact.get(open)! / (shown * Math.abs(delta)) - 1)).toBeLessThan(bound);
    }
  });
});

describe("two hinges mitre to mitre", () => {
  const cell = bench("mitre-pair", 22.5);
  const joint = cell.joints.find(({ name }) => /^hinge-.*\|hinge-/.test(name))!;
  const fence = lengthOf(cell, "hinge-a.right|fence-a");
  const w = joint.length;

  it("meet over the strip less the seat's share", () => {
    expect(w).toBeCloseTo(((1 - CLOSING_SEAT_SHARE) * 3) / Math.cos(22.5 * DEGREE), 9);
    expect(lengthOf(cell, "hinge-b.left|fence-b")).toBeCloseTo(fence, 9);
  });

  it("show the error of both together", () => {
    for (const delta of ANGLES) {
      const pieces = {
        "hinge-a": { cuts: { "end-right": { angle: delta } } },
        "hinge-b": { cuts: { "end-left": { angle: delta } } },
      };
      const expected = (2 * w * Math.abs(delta) * fence ** 3 * SHARE) / (2 * w ** 3 + fence ** 3);
      const open = `${joint.name} ${delta > 0 ? "heel" : "toe"}`;
      expect(Math.abs(gapsOf(cell, { pieces }, { order: "first" }).get(open)! - expected)).toBeLessThan(
        1e-11,
      );
      const exact = gapsOf(cell, { pieces }, { order: "exact" }).get(open)!;
      expect(Math.abs(exact / expected - 1)).toBeLessThan(3 * Math.abs(delta));
    }
  });

  it("show nothing when one errs as much as the other the other way", () => {
    const pieces = {
      "hinge-a": { cuts: { "end-right": { angle: 0.01 } } },
      "hinge-b": { cuts: { "end-left": { angle: -0.01 } } },
    };
    for (const gap of gapsOf(cell, { pieces }, { order: "first" }).values())
      expect(Math.abs(gap)).toBeLessThan(1e-12);
  });
});

/*
 * Points that take up n·(2δ) too little in all, each pressed onto the one before, the last slid up to the first or the line: the last joint has a free gap of 0 at its toe and
 * w·n·2δ (exactly w·tan(n·2δ)) at its heel, shared 1 : K by the slide. Blunt points open the toe by as much. The light joint bends the others by a millionth of that.
 */
describe.each([
  ["reversal", 45, 2],
  ["ring", 30, 3],
  ["ring", 45, 4],
  ["ring", 60, 6],
  ["ring", 67.5, 8],
] as const)("the %s of points cut at %f°", (name, degrees, count) => {
  const cell = bench(name, degrees);
  const closing = cell.joints.find(({ pressed }) => !pressed)!;
  const everyPoint = cell.pieces.map((piece) => piece.name);

  it(`shows ${count} times the error of one point, and all of it in one place`, () => {
    expect(everyPoint).toHaveLength(count);
    for (const delta of ANGLES.slice(0, 5)) {
      const asCut = { pieces: points(everyPoint, delta) };
      const all = count * 2 * Math.abs(delta);
      for (const order of ["first", "exact"] as const) {
        const open = closing.length * (order === "first" ? all : Math.tan(all));
        const [opened, closed] = delta > 0 ? ["heel", "toe"] : ["toe", "heel"];
        const expected = new Map([
          [`${closing.name} ${opened}`, open * SHARE],
          [`${closing.name} ${closed}`, -open / 1001],
        ]);
        for (const [place, gap] of gapsOf(cell, asCut, { order })) {
          expect(Math.abs(gap - (expected.get(place) ?? 0)), `${order} ${place}`).toBeLessThan(3e-5 * open);
        }
      }
    }
  });

  it("needs no reference, and hides stops and points off centre: they only slide", () => {
    const pieces = points(everyPoint, 0.1 * DEGREE);
    const straight = gapsOf(cell, { pieces }, { order: "exact" });
    const heel = `${closing.name} heel`;
    expect(straight.get(heel)).toBeGreaterThan(0.01);
    const longer = Object.fromEntries(
      everyPoint.map((piece, i) => {
        const { "start-left": left, "start-right": right } = pieces[piece]!.cuts!;
        const cuts = {
          "start-left": { ...left, axial: 0.1 },
          "start-right": { ...right, axial: 0.07 * (i - 1) },
        };
        return [piece, { cuts }];
      }),
    );
    const disturbances: AsCut[] = [
      { pieces, walls: { line: { turn: 0.5 * DEGREE } } },
      { pieces, walls: { line: { offset: 0.1 } } },
      { pieces: longer },
    ];
    for (const disturbed of disturbances) {
      // Nominal normals that stand 0.5° off the true ones read 2e-4 of it wrong; slides alone nothing (1e-12 seen).
      const shown = gapsOf(cell, disturbed, { order: "exact" }).get(heel)!;
      expect(Math.abs(shown / straight.get(heel)! - 1)).toBeLessThan(3e-4);
    }
  });
});

/* A diagonal that is short by s in all lies free along its axis: the corners share s out, (s/2)·cos 45° at every probe of both points; pressed as much when long. */
describe("a diagonal of the wrong length, in the whole cell", () => {
  it.each([
    ["both ends alike", 0.5, 0.5],
    ["one end", 0, 1],
    ["one end more than the other", -0.3, 1.3],
  ])("shows half of it at each end: %s", (_, atStart, atEnd) => {
    for (const [opening, strip] of [
      [60, 3],
      [48, 4],
      [120, 6],
    ] as const) {
      const cell = squareCell(opening, strip);
      for (const short of [0.3, 0.01, -0.01, -0.3]) {
        const cut = (share: number) => ({ axial: -short * share });
        const asCut = {
          pieces: {
            diagonal: {
              cuts: {
                "start-left": cut(atStart),
                "start-right": cut(atStart),
                "end-left": cut(atEnd),
                "end-right": cut(atEnd),
              },
            },
          },
        };
        for (const order of ["first", "exact"] as const) {
          for (const pressRatio of [1000, 10]) {
            const gaps = gapsOf(cell, asCut, { order, pressRatio });
            const own = [...gaps].filter(([place]) => place.startsWith("diagonal."));
            expect(own).toHaveLength(8);
            for (const [place, gap] of own)
              expect(Math.abs(gap - (short / 2) * Math.SQRT1_2), place).toBeLessThan(1e-10);
          }
        }
      }
    }
  });
});
