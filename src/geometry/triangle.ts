import { distance, type Vec, vec } from "./vector.js";

/** Lengths of the sides opposite the corners A, B, C, mm. */
function sides(a: Vec, b: Vec, c: Vec): [number, number, number] {
  return [distance(b, c), distance(c, a), distance(a, b)];
}

/** Centre of the inscribed circle, where the three bisectors meet (Euclid, Elements IV.4). */
export function incentre(a: Vec, b: Vec, c: Vec): Vec {
  const [la, lb, lc] = sides(a, b, c);
  const around = la + lb + lc;
  return vec((la * a.x + lb * b.x + lc * c.x) / around, (la * a.y + lb * b.y + lc * c.y) / around);
}

/** Length of the bisector from corner A to the side BC, mm: 2bc·cos(A/2)/(b + c). */
export function bisectorLength(a: Vec, b: Vec, c: Vec): number {
  const [la, lb, lc] = sides(a, b, c);
  return Math.sqrt(lb * lc * (1 - (la / (lb + lc)) ** 2));
}
