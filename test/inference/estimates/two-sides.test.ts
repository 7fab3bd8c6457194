import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { fitSources, oneSide } from "../../../src/inference/estimates/fit-sources.js";
import { twoSides } from "../../../src/inference/estimates/identifiability.js";
import { residualsOf } from "../../../src/inference/estimates/judge-fit.js";
import { judgeReadings } from "../../../src/inference/misfit/judge-readings.js";
import { LEAN, leanColumn, leaningJob, leaningReadings } from "../leaning-demo.js";

const DRAWS = 2000;
const normals = createStream(3).fill(new Float64Array(DRAWS));
const signs = createStream(4).fill(new Float64Array(DRAWS));
/** Draws with the sign of other numbers: `size` either way, of standard deviation 1. */
const eitherWay = (size: number) => normals.map((z, d) => (signs[d]! < 0.5 ? 1 : -1) * (size + z));

describe("the two sides of a sample", () => {
  it("are found where the size is told and the sign is not, with the means and shares that were drawn", () => {
    const sides = twoSides(eitherWay(5), 1, 0)!;
    // 69.1 % of normal numbers are under 0.5. Widths: three standard errors.
    expect(Math.abs(sides.above.share - 0.691)).toBeLessThan(3 * Math.sqrt((0.691 * 0.309) / DRAWS));
    expect(sides.above.share + sides.below.share).toBe(1);
    expect(Math.abs(sides.above.estimate - 5)).toBeLessThan(3 / Math.sqrt(0.69 * DRAWS));
    expect(Math.abs(sides.below.estimate + 5)).toBeLessThan(3 / Math.sqrt(0.31 * DRAWS));
    expect(sides.below.standardUncertainty).toBeGreaterThan(0.9);
    expect(sides.below.standardUncertainty).toBeLessThan(1.1);
  });

  it("are none of a normal law about zero, of one far from it, or where hardly a draw has the other sign", () => {
    expect(twoSides(normals, 1, 0)).toBeNull();
    const about = (mean: number) =>
      twoSides(
        normals.map((z) => z + mean),
        1,
        0,
      );
    // About 1.7 some 4 % of a law with one top lie below zero.
    for (const mean of [0.5, 1, 1.7, 2, 5]) expect(about(mean), String(mean)).toBeNull();
    expect(
      twoSides(
        normals.map((z, d) => (d % 50 === 0 ? -1 : 1) * (z + 5)),
        1,
        0,
      ),
    ).toBeNull();
  });

  it("of two sources: the signs that most draws have together", () => {
    const rows = [
      [1, -1],
      [-1, 1],
      [2, -3],
      [1, 1],
    ].flat();
    expect([...oneSide(Float64Array.from(rows), 2, [0, 1])]).toEqual([1, -1, 2, -3]);
  });
});

describe("a lean read at the wider side only", () => {
  const fit = fitSources(leaningJob, leaningReadings(false));
  const { sides, contradicted, withoutPrior, learned } = fit.sources[leanColumn]!;

  it("has two sides, as likely, of the true size", () => {
    for (const { estimate, standardUncertainty: u } of [sides!.above, sides!.below])
      expect(Math.abs(Math.abs(estimate) - LEAN)).toBeLessThan(3.5 * u);
    expect(sides!.above.estimate).toBeGreaterThan(0);
    expect(sides!.below.estimate).toBeLessThan(0);
    // Walkers cross seldom: far fewer independent draws than draws.
    expect(Math.abs(sides!.above.share - 0.5)).toBeLessThan(0.25);
    expect(learned).toBeGreaterThan(0.8);
  });

  it("contradicts nothing, names no good reading, and is not given a sign by the readings alone", () => {
    expect(contradicted).toBe(false);
    expect(withoutPrior).toBeNull();
    const residuals = residualsOf(fit, 1);
    expect(residuals.filter(({ outlier }) => outlier)).toEqual([]);
    expect(judgeReadings(fit, residuals, 1).verdict).toBe("fits");
    expect(fit.unseparated.flatMap(({ weights }) => weights.map(({ source }) => source))).not.toContainEqual({
      kind: "lean",
      of: "bevel-22",
    });
  });

  it("would name every reading at the mean of both sides, where no shop is", () => {
    const between = residualsOf({ ...fit, oneSide: fit }, 1);
    expect(between.filter(({ outlier }) => outlier).length).toBeGreaterThan(2);
  });
});

it("a lean read at front and back has one side", () => {
  const fit = fitSources(leaningJob, leaningReadings(true));
  expect(fit.sources.map(({ sides }) => sides)).toEqual(fit.sources.map(() => null));
  expect(fit.oneSide).toEqual({ estimates: fit.estimates, covariance: fit.covariance });
  expect(fit.sources[leanColumn]!.estimate).toBeGreaterThan(0);
});
