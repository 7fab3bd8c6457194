import { expect, it } from "vitest";
import { createStream } from "../../../../src/core/numeric/random-stream.js";
import { curvatureAlong, slopeAlong } from "../../../../src/uncertainty/differences.js";
import { fitCensoredLine, logLikelihood } from "../censored-line.js";

const stream = createStream(611);
const observations = Array.from({ length: 40 }, (_, i) => {
  const y = 0.5 + 0.04 * i - 0.6 + stream.normal();
  return { y: y > 0 ? y : null, x: [1, i] };
});
const { estimates, standardErrors, logLikelihood: best } = fitCensoredLine(observations);
const loss = (x: Float64Array) => -logLikelihood(observations, 0, x);
const unit = (j: number) => Float64Array.from(estimates, (_, i) => (i === j ? standardErrors[j]! : 0));

it("the fit lies where the likelihood has no slope in β and log σ, though it is solved in others", () => {
  for (const j of estimates.keys())
    expect(Math.abs(slopeAlong(loss, estimates, unit(j), 0.1).value)).toBeLessThan(1e-8);
  expect(best).toBeCloseTo(-loss(estimates), 12);
});

it("its standard errors come from the likelihood's second differences", () => {
  const n = estimates.length;
  const information = Array.from({ length: n }, (_, i) =>
    Array.from({ length: n }, (_, j) => curvatureAlong(loss, estimates, unit(i), unit(j)).value),
  );
  // In units of the standard errors the inverse has ones on its diagonal; three unknowns by cofactors.
  const [[a, b, c], [, e, f], [, , k]] = information as [number[], number[], number[]] as [
    [number, number, number],
    [number, number, number],
    [number, number, number],
  ];
  const determinant = a * (e * k - f * f) - b * (b * k - f * c) + c * (b * f - e * c);
  for (const cofactor of [e * k - f * f, a * k - c * c, a * e - b * b])
    expect(cofactor / determinant).toBeCloseTo(1, 6);
});

it("taking what lies below the floor for zeros gives another line: a negative control", () => {
  const naive = fitCensoredLine(observations.map(({ y, x }) => ({ y: y ?? 0, x })));
  expect(observations.filter(({ y }) => y === null).length).toBeGreaterThan(5);
  expect(Math.abs(naive.estimates[0]! - estimates[0]!)).toBeGreaterThan(0.05);
});
