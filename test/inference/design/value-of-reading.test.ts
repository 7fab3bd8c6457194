import { describe, expect, it } from "vitest";
import { normalCdf, normalPdf } from "../../../src/core/numeric/normal.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { adjustersOf, NO_MOVE, type Setting } from "../../../src/inference/decision/adjusters.js";
import { MoveTable } from "../../../src/inference/decision/choose-moves.js";
import { drawCells } from "../../../src/inference/decision/drawn-cells.js";
import { equipmentOf } from "../../../src/inference/design/borrowed.js";
import { type ReadingValue, valueReadings } from "../../../src/inference/design/value-of-reading.js";
import { JobCells } from "../../../src/inference/likelihood/read-specimen.js";
import { cellSpecimen, jobSources } from "../../../src/inference/likelihood/specimen.js";
import type { Job } from "../../../src/model/job/job.js";
import { indexOfSource } from "../../../src/model/sources.js";
import { ANGLE_VARIANCE, angleJob, PRIOR_SD, RAMP } from "../angle-readings.js";

/** Moves cost nothing here, so that losses are those given. */
const job: Job = { ...angleJob, costs: { ...angleJob.costs, adjusting: 0 } };
const sources = jobSources(job);
const source = indexOfSource(sources, RAMP);
const adjuster = adjustersOf(job, sources).find((one) => one.source === source)!;
const other: Setting = { change: 0.01, leaves: [], steps: 0 };
const DRAWS = 2000;

/** Values of every reading where one ramp is distributed as `draw` (in its prior standard deviations) and moving it loses `excess` more than leaving it. */
function valued(draw: (normal: () => number) => number, excess: (z: number) => number) {
  const stream = createStream(7);
  const p = sources.length;
  const sample = new Float64Array(DRAWS * p);
  for (let d = 0; d < DRAWS; d++) sample[d * p + source] = PRIOR_SD * draw(() => stream.normal());
  const known = { estimates: new Float64Array(p), covariance: new Float64Array(p * p) };
  const forecast = drawCells(job, cellSpecimen(job), { ...known, sample, draws: DRAWS, seed: 1 });
  class Given extends MoveTable {
    override losses([setting]: readonly Setting[]): Float64Array {
      return Float64Array.from({ length: DRAWS }, (_, d) =>
        setting!.change === 0 ? 0 : excess(forecast.sources[d * p + source]! / PRIOR_SD),
      );
    }
  }
  const table = new Given(forecast, [adjuster]);
  const menu = [[NO_MOVE], [other]];
  return valueReadings({ job, menu, table, cells: new JobCells(), seed: 1, always: true });
}

const angleOfRamp = ({ readings, stations }: ReadingValue): boolean =>
  readings.length === 1 &&
  readings[0]!.what === "angle" &&
  stations[0]!.sample.kind === "set-up" &&
  readings[0]!.setUp === "hinge-point";

describe("the value of a reading", () => {
  // Moving loses a + b·z more than staying, z standard normal. After a reading that takes the share r of the variance away the posterior mean of z is normal with variance r, and the
  // expected saving is s·φ(a/s) − a·Φ(−a/s) with s = b·√r: the unit normal loss (H. Raiffa and R. Schlaifer, 1961).
  const unitNormalLoss = (a: number, b: number, share: number): number => {
    const s = b * Math.sqrt(share);
    return s * normalPdf(a / s) - a * normalCdf(-a / s);
  };
  const share = PRIOR_SD ** 2 / (PRIOR_SD ** 2 + ANGLE_VARIANCE);

  for (const [a, b] of [
    [0, 2],
    [1, 2],
    [2, 2],
  ] as const)
    it(`is the unit normal loss of a move that loses ${a} ± ${b}`, () => {
      const { worth, knowing } = valued(
        (normal) => normal(),
        (z) => a + b * z,
      );
      const found = worth.find(angleOfRamp)!;
      const wanted = unitNormalLoss(a, b, share);
      // Eight groups of outcomes lose some per cent of it; 2,000 draws leave an error of their own.
      expect(found.value).toBeLessThan(wanted + 3 * found.standardError);
      expect(found.value).toBeGreaterThan(0.93 * wanted - 3 * found.standardError);
      expect(found.cost).toBe(job.costs.trial);
      expect(Math.abs(knowing[0]! - unitNormalLoss(a, b, 1))).toBeLessThan(
        0.07 * wanted + 4 * found.standardError,
      );
    });

  it("is nothing where no outcome would change the move", () => {
    const { worth, knowing } = valued(
      (normal) => normal(),
      (z) => 20 + 2 * z,
    );
    expect(worth).toEqual([]);
    expect(knowing).toEqual([0]);
  });

  it("of one that splits a two-sided posterior is half of what the wrong side loses", () => {
    // As likely +1 as −1, and moving gains 3 on one side and loses 3 on the other: without the sign neither is better, with it 3 · ½ is gained.
    const { worth, telling } = valued(
      (normal) => (normal() > 0 ? 1 : -1) + 0.05 * normal(),
      (z) => (z > 0 ? 3 : -3),
    );
    const found = worth.find(angleOfRamp)!;
    // How many of the draws are +1 scatters too, and with it what the sign is worth among these draws.
    const split = 3 * Math.sqrt(0.25 / DRAWS);
    expect(Math.abs(found.value - 1.5)).toBeLessThan(4 * Math.hypot(found.standardError, split) + 0.02);
    expect(found.value).toBeGreaterThan(found.cost);
    expect(found.changes[0]).toBeCloseTo(0.5, 1);
    // Named as what tells this ramp, at no more than the cost of one trial piece; nothing has to be borrowed.
    expect(telling[0]!.cost).toBeLessThanOrEqual(job.costs.trial);
    expect(telling[0]!.borrowed).toBe(false);
  });
});

describe("what could be borrowed", () => {
  const without = (...names: string[]) => ({
    instruments: job.instruments.filter(({ name }) => !names.includes(name)),
  });
  const borrowedNames = (from: Pick<Job, "instruments">) =>
    equipmentOf(from).borrowed.map(({ name }) => name);

  it("is an angle box for the ramp itself where the shop's gauge only reads cuts", () => {
    expect(borrowedNames(job)).toEqual(["angle box"]);
    expect(equipmentOf(job).borrowed[0]!.reads).toEqual(["ramp"]);
  });

  it("is what the shop lacks: a caliper, a finer feeler that gets in at toe and heel", () => {
    expect(borrowedNames(without("caliper", "shim-strips"))).toEqual([
      "angle box",
      "caliper",
      "strips of shim stock",
    ]);
  });

  it("is no second caliper for shoulders: the shop's own reads them", () => {
    const own = equipmentOf(job).instruments.find(({ name }) => name === "caliper")!;
    expect(own.reads).toContain("shoulder");
  });
});
