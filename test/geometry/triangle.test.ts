import { describe, expect, it } from "vitest";
import { bisectorLength, incentre } from "../../src/geometry/triangle.js";
import { distance, dot, sub, type Vec, vec } from "../../src/geometry/vector.js";

/** A triangle with a = BC, b = CA, c = AB: B at the origin, C along x. */
function triangle(a: number, b: number, c: number): [Vec, Vec, Vec] {
  const x = (a * a + c * c - b * b) / (2 * a);
  return [vec(x, Math.sqrt(c * c - x * x)), vec(0, 0), vec(a, 0)];
}

/** Distance of a point from the line through two others. */
function toLine(p: Vec, a: Vec, b: Vec): number {
  const d = sub(b, a);
  const r = sub(p, a);
  return Math.abs(d.x * r.y - d.y * r.x) / Math.hypot(d.x, d.y);
}

function angleAt(p: Vec, a: Vec, b: Vec): number {
  const [u, v] = [sub(a, p), sub(b, p)];
  return (Math.acos(dot(u, v) / (distance(a, p) * distance(b, p))) * 180) / Math.PI;
}

/*
 * Textbook triangles. Sources: the incircle is Euclid, Elements IV.4; inradius r = K/s with Heron's K; bisector t_a = √(bc[1 − (a/(b + c))²]); AI = r / sin(A/2);
 * ∠BIC = 90° + A/2. Figures to 8 decimals, each from two independent expressions; ours must agree to half a unit of the last place.
 */
const TRIANGLES = [
  {
    sides: [3, 4, 5],
    inradius: 1,
    bisectors: [4.21637021, 3.35410197, 2.42436611],
    // biome-ignore lint/suspicious/noApproximativeNumericConstant: a figure as printed
    toCentre: [3.16227766, 2.23606798, 1.41421356],
    around: [108.434949, 116.565051, 135],
  },
  {
    sides: [13, 14, 15],
    inradius: 4,
    bisectors: [12.95377311, 12.09338662, 11.21727063],
    toCentre: [8.94427191, 8.06225775, 7.21110255],
    around: [116.565051, 119.744881, 123.690068],
  },
  {
    sides: [7, 8, 9],
    inradius: 2.23606798,
    bisectors: [7.73255375, 6.87386354, 5.98665182],
    toCentre: [5.47722558, 4.58257569, 3.74165739],
    around: [114.094843, 119.205932, 126.699225],
  },
] as const;

describe.each(TRIANGLES)("the triangle $sides", ({ sides, inradius, bisectors, toCentre, around }) => {
  const [a, b, c] = triangle(sides[0], sides[1], sides[2]);
  const centre = incentre(a, b, c);

  it("has its incentre one inradius from every side", () => {
    for (const [p, q] of [
      [b, c],
      [c, a],
      [a, b],
    ] as const)
      expect(toLine(centre, p, q)).toBeCloseTo(inradius, 8);
  });

  it("has it at the known distance from every corner, under the known angles", () => {
    const corners = [a, b, c];
    for (const [i, corner] of corners.entries()) {
      expect(distance(centre, corner)).toBeCloseTo(toCentre[i]!, 8);
      const angle = angleAt(centre, corners[(i + 1) % 3]!, corners[(i + 2) % 3]!);
      expect(angle).toBeCloseTo(around[i]!, 6);
    }
  });

  it("has bisectors of the known length", () => {
    expect(bisectorLength(a, b, c)).toBeCloseTo(bisectors[0], 8);
    expect(bisectorLength(b, c, a)).toBeCloseTo(bisectors[1], 8);
    expect(bisectorLength(c, a, b)).toBeCloseTo(bisectors[2], 8);
  });

  it("takes its corners in any order", () => {
    expect(distance(incentre(c, a, b), centre)).toBeLessThan(1e-14);
    expect(distance(incentre(b, a, c), centre)).toBeLessThan(1e-14);
    expect(bisectorLength(a, c, b)).toBeCloseTo(bisectorLength(a, b, c), 12);
  });
});
