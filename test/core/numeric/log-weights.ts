import { proposalsAt, type WeightedNormal } from "../../../src/core/numeric/elliptical-slice.js";

/** Log weights of `count` points, row-major, but for a constant. */
export function logWeights(law: WeightedNormal, points: Float64Array, count: number): Float64Array {
  const { place, gain, centre } = law.squares;
  const weights = Float64Array.from({ length: count }, (_, k) => {
    const square = (g: number, i: number): number =>
      (g * (centre[i]! + points[k * law.length + place[i]!]!) ** 2) / 2;
    return -gain.reduce((sum, g, i) => sum + square(g, i), 0);
  });
  const looks = proposalsAt(points, count, law.length);
  for (const part of law.factors) part.add(looks, weights);
  return weights;
}
