import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  add,
  bisectorLength,
  distance,
  dot,
  faceSegments,
  type HalfPlane,
  halfPlaneThrough,
  incentre,
  overlapDepth,
  polygonOf,
  rotate,
  scale,
  sub,
  type Vec,
  vec,
} from "../../src/core/geometry.js";
import { asanohaSquare } from "../../src/model/cell/asanoha-square.js";
import { compileCell } from "../../src/model/cell/compile-cell.js";
import { polygonArea } from "../core/polygon-area.js";
import { areaOf, outlines, unionArea } from "../model/cell/support/outlines.js";
import { userError } from "../user-error.js";

/** Every property runs on this seed: the same cases each time. */
const RUN = { seed: 20_260_101, numRuns: 300 };

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const point = fc.tuple(number(-5, 5), number(-5, 5)).map(([x, y]) => vec(x, y));
const plane = fc.tuple(number(-Math.PI, Math.PI), point).map(([angle, p]) => halfPlaneThrough(angle, p));
/** A box about the origin, so that every intersection is bounded. */
const BOX = [0, 1, 2, 3].map((k) => {
  const angle = (k * Math.PI) / 2;
  return halfPlaneThrough(angle, scale(vec(Math.cos(angle), Math.sin(angle)), 6));
});

/** Corners of a polygon cut by one half-plane after another. */
function clipped(planes: readonly HalfPlane[]): Vec[] {
  return planes.reduce<Vec[]>(
    (corners, { normal, offset }) =>
      corners.flatMap((a, i) => {
        const b = corners[(i + 1) % corners.length]!;
        const [outA, outB] = [dot(normal, a) - offset, dot(normal, b) - offset];
        const where = () => add(a, scale(sub(b, a), outA / (outA - outB)));
        if (outA <= 0) return outB <= 0 ? [a] : [a, where()];
        return outB <= 0 ? [where()] : [];
      }),
    [vec(-6, -6), vec(6, -6), vec(6, 6), vec(-6, 6)],
  );
}

describe("the intersection of half-planes", () => {
  it("has the area that cutting a sheet by one after the other leaves", () => {
    fc.assert(
      fc.property(fc.array(plane, { maxLength: 8 }), (cuts) => {
        const ours = polygonArea(polygonOf([...BOX, ...cuts]));
        expect(Math.abs(ours - polygonArea(clipped(cuts)))).toBeLessThan(1e-7);
      }),
      RUN,
    );
  });

  it("has corners that satisfy every half-plane, and edges on their own lines", () => {
    fc.assert(
      fc.property(fc.array(plane, { maxLength: 8 }), (cuts) => {
        const planes = [...BOX, ...cuts];
        for (const [i, edge] of faceSegments(planes).entries()) {
          if (!edge) continue;
          for (const p of [edge.from, edge.to]) {
            expect(Math.abs(dot(planes[i]!.normal, p) - planes[i]!.offset)).toBeLessThan(1e-9);
            for (const { normal, offset } of planes) expect(dot(normal, p)).toBeLessThan(offset + 1e-7);
          }
          expect(Math.abs(distance(edge.from, edge.to) - edge.length)).toBeLessThan(1e-9);
        }
      }),
      RUN,
    );
  });
});

describe("how deep polygons overlap", () => {
  const regular = (n: number, turn: number, at: Vec) =>
    Array.from({ length: n }, (_, k) => {
      const angle = turn + (2 * Math.PI * k) / n;
      return add(at, vec(Math.cos(angle), Math.sin(angle)));
    });
  const shape = fc
    .tuple(fc.integer({ min: 3, max: 8 }), number(0, 6), point)
    .map(([n, turn, at]) => regular(n, turn, scale(at, 0.25)));

  it("does not depend on which comes first", () => {
    fc.assert(
      fc.property(shape, shape, (a, b) => {
        expect(overlapDepth(a, b)).toBeCloseTo(overlapDepth(b, a), 12);
      }),
      RUN,
    );
  });

  it("is positive just when a polygon library finds a common area", () => {
    fc.assert(
      fc.property(shape, shape, (a, b) => {
        const depth = overlapDepth(a, b);
        const common = areaOf(a) + areaOf(b) - unionArea([a, b]);
        if (depth > 1e-3) expect(common).toBeGreaterThan(0);
        if (depth < -1e-9) expect(Math.abs(common)).toBeLessThan(1e-7);
      }),
      { ...RUN, numRuns: 150 },
    );
  });
});

describe("triangles", () => {
  const triangle = fc
    .tuple(point, point, point)
    .filter(
      ([a, b, c]) => Math.abs(polygonArea([a, b, c])) > 0.1 && Math.min(distance(a, b), distance(b, c)) > 0.1,
    );

  it("have a centre on every bisector, as far along as the sides say", () => {
    fc.assert(
      fc.property(triangle, ([a, b, c]) => {
        // AI : AD = (b + c) : (a + b + c), with D on BC so that BD : DC = c : b (Euclid VI.3).
        const [la, lb, lc] = [distance(b, c), distance(c, a), distance(a, b)];
        const foot = add(b, scale(sub(c, b), lc / (lb + lc)));
        expect(Math.abs(distance(a, foot) - bisectorLength(a, b, c))).toBeLessThan(1e-6);
        const centre = add(a, scale(sub(foot, a), (lb + lc) / (la + lb + lc)));
        expect(distance(centre, incentre(a, b, c))).toBeLessThan(1e-9);
      }),
      RUN,
    );
  });

  it("keep their centre when they are turned and moved", () => {
    fc.assert(
      fc.property(triangle, number(-3, 3), point, ([a, b, c], turn, by) => {
        const moved = (p: Vec) => add(rotate(p, turn), by);
        const there = incentre(moved(a), moved(b), moved(c));
        expect(distance(there, moved(incentre(a, b, c)))).toBeLessThan(1e-9);
      }),
      RUN,
    );
  });
});

describe("the square cell of any size", () => {
  it("covers its pieces' areas without overlap and has its 22 joints, or is refused", () => {
    let built = 0;
    fc.assert(
      fc.property(number(10, 500), number(0.005, 0.6), number(0.02, 0.98), (opening, ratio, seatShare) => {
        const arrangement = asanohaSquare({ opening, strip: ratio * opening, seatShare });
        let polygons: Vec[][];
        try {
          const cell = compileCell(arrangement);
          expect(cell.joints).toHaveLength(22);
          polygons = outlines(cell);
        } catch (error) {
          expect(error).toEqual(userError("cell"));
          return;
        }
        built++;
        const sum = polygons.reduce((total, corners) => total + areaOf(corners), 0);
        expect(Math.abs(unionArea(polygons) / sum - 1)).toBeLessThan(1e-8);
      }),
      { ...RUN, numRuns: 120 },
    );
    expect(built).toBeGreaterThan(30);
    expect(built).toBeLessThan(120);
  });
});
