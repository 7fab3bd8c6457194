import { describe, expect, it } from "vitest";
import { at, entryOf } from "../../../src/core/numeric/dense.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { drawCells, noMoves, outcomesOf } from "../../../src/inference/decision/drawn-cells.js";
import { forecastCells } from "../../../src/inference/forecast/forecast-cells.js";
import { forecastSources } from "../../../src/inference/forecast/forecast-sources.js";
import { groupBudget } from "../../../src/inference/forecast/group-budget.js";
import { linearAnswers } from "../../../src/inference/forecast/linear-answer.js";
import { type JobPosterior, jobPosterior, withScatters } from "../../../src/inference/job-posterior.js";
import { cellSpecimen } from "../../../src/inference/likelihood/specimen.js";
import { momentsOf } from "../../../src/inference/posterior/trial-distribution.js";
import { DEMO } from "./support/quiet-job.js";

/** A posterior whose first stop is ±0.4 mm, and whose other sources are exact. */
function twoSided(): JobPosterior {
  const stated = jobPosterior(DEMO, []);
  const p = stated.sources.length;
  const s = stated.sources.findIndex(({ id }) => id.kind === "stop");
  const stream = createStream(8);
  const draws = 400;
  const sample = Float64Array.from({ length: draws * p }, (_, k) => {
    const side = Math.floor(k / p) % 4 === 0 ? -1 : 1;
    return (k % p === s ? 0.4 * side : 0) + 1e-4 * stream.normal();
  });
  const { mean, covariance } = momentsOf(sample, p);
  return {
    ...stated,
    sample,
    draws,
    covariance,
    normal: false,
    effectiveSampleSize: draws,
    estimates: mean,
    basis: { readings: 1, pieces: 1, records: [] },
    scatters: Float64Array.from({ length: 3 * draws }, (_, k) => at([1e-5, 0.01, 0.005], k % 3)),
  };
}

describe("a forecast from a posterior", () => {
  it("with two sides has the cells of both, and none of the middle", async () => {
    const posterior = twoSided();
    const { shops, cell } = await forecastCells(DEMO, {
      posterior,
      trials: 20_000,
      threads: 1,
      budget: false,
      bothOrders: 0,
    });
    // A diagonal 0.4 mm short leaves (0.4/2)·cos 45° = 0.14 mm at each end, one as much too long presses as much: no cell closes. A quarter of the shops cut short.
    const { gap, snug } = DEMO.limits;
    expect(Math.max(gap, snug)).toBeLessThan(0.14);
    expect(cell.closes.value).toBe(0);
    expect(cell.beyondGap.value).toBeGreaterThan(0.2);
    expect(cell.beyondGap.value).toBeLessThan(0.35);
    expect(shops!.hardlyAny).toBe(1);
  });

  it("closes as many cells as the same draws do that the card is decided on", async () => {
    const posterior = { ...twoSided(), ...jobPosterior(DEMO, []), normal: false };
    const job = withScatters(DEMO, posterior);
    const specimen = cellSpecimen(job);
    const cells = drawCells(job, specimen, { ...posterior, draws: 8192, seed: 3 });
    const { widestGap, deepestPress } = outcomesOf(cells, noMoves(cells.columns));
    const closing = widestGap.filter(
      (gap, i) => gap <= DEMO.limits.gap && at(deepestPress, i) <= DEMO.limits.snug,
    ).length;
    const { cell } = await forecastCells(DEMO, {
      posterior,
      trials: 50 * 1024,
      threads: 1,
      budget: false,
      bothOrders: 0,
    });
    // The same 1,024 shops in both: only their cells differ.
    const error = Math.sqrt(0.2 * 0.8 * (1 / 8192 + 1 / 51_200));
    expect(Math.abs(closing / 8192 - cell.closes.value)).toBeLessThan(4 * error);
    // The bounds count the shops: far wider than for as many independent cells.
    expect(cell.closes.high - cell.closes.low).toBeGreaterThan(3 * 4 * Math.sqrt((0.2 * 0.8) / 51_200));
  });

  it("whose sources are tied has the variance of the tie, by the law of propagation and in the budget", async () => {
    const stated = jobPosterior(DEMO, []);
    const p = stated.sources.length;
    const stops = [...stated.sources.keys()].filter((i) => stated.sources[i]!.id.kind === "stop");
    const [a, b] = [at(stops, 1), at(stops, 2)];
    const tied = (r: number): JobPosterior => {
      const covariance = stated.covariance.slice();
      const both = r * Math.sqrt(entryOf(covariance, a, a, p) * entryOf(covariance, b, b, p));
      covariance[a * p + b] = both;
      covariance[b * p + a] = both;
      return { ...stated, covariance, estimates: stated.estimates.map((_, i) => (i === a ? -1 : 0)) };
    };
    const u = (r: number): number =>
      linearAnswers(forecastSources(DEMO, tied(r)), DEMO.limits.gap, {
        pressRatio: DEMO.pressRatio,
        order: "first",
      }).cell.standardUncertainty;
    // u² is linear in the correlation.
    expect(u(0.9) ** 2 + u(-0.9) ** 2).toBeCloseTo(2 * u(0) ** 2, 9);
    expect(Math.abs(u(0.9) - u(-0.9))).toBeGreaterThan(0.001);
    const sources = forecastSources(DEMO, tied(-0.95));
    const { limits, pressRatio } = DEMO;
    const { lines } = (await groupBudget(sources, {
      limits,
      pressRatio,
      order: "first",
      seed: 1,
      points: 256,
      replicates: 6,
    }))!;
    const line = lines.find(
      ({ group }) => group.id.kind === "stop" && group.id.of === stated.sources[a]!.id.of,
    )!;
    // Known alone it takes the other along; with all else known hardly anything of it is left.
    expect(line.first.value).toBeGreaterThan(3 * line.total.value);
  });
});
