import { describe, expect, it } from "vitest";
import { type Adjuster, adjustersOf, NO_MOVE, resetSdOf } from "../../../src/inference/decision/adjusters.js";
import { descend, MoveTable, searchMoves } from "../../../src/inference/decision/choose-moves.js";
import { drawCells } from "../../../src/inference/decision/drawn-cells.js";
import { cellSpecimen, jobSources } from "../../../src/inference/likelihood/specimen.js";
import { demoJob } from "../demo.js";

const sources = jobSources(demoJob);
const adjusters = adjustersOf(demoJob, sources);

describe("the settings of a ramp", () => {
  const ramp = adjusters.find(({ kind }) => kind === "shim")!;
  const leaves = [0.1, 0.2, 0.3, 0.5, 0.8];

  it("are every stack of up to three leaves, at either end", () => {
    const stacks = leaves.flatMap((a, i) => [
      a,
      ...leaves.slice(i + 1).flatMap((b, j) => [a + b, ...leaves.slice(i + j + 2).map((c) => a + b + c)]),
    ]);
    const thicknesses = new Set(stacks.map((sum) => sum.toFixed(6)));
    expect(ramp.settings).toHaveLength(2 * thicknesses.size + 1);
    const thickest = ramp.settings.at(-1)!;
    expect(thickest.leaves).toEqual([0.3, 0.5, 0.8]);
    expect(thickest.change).toBeCloseTo(Math.atan(1.6 / 80), 12);
  });

  it("take the fewest leaves for a thickness, and each leaf adds its own error", () => {
    const of = (thickness: number) =>
      ramp.settings.find(({ change }) => Math.abs(change - Math.atan(thickness / 80)) < 1e-9)!;
    expect(of(0.3).leaves).toEqual([0.3]);
    expect(of(1).leaves).toEqual([0.2, 0.8]);
    expect(resetSdOf(ramp, of(1.6)) / resetSdOf(ramp, of(0.3))).toBeCloseTo(Math.sqrt(3), 12);
    expect(resetSdOf(ramp, NO_MOVE)).toBe(0);
  });
});

/** Losses in which two errors make up for each other: neither move alone helps. */
class Tied extends MoveTable {
  override losses(choice: readonly { change: number }[]): Float64Array {
    const [a, b] = choice.map(({ change }) => change / 0.05);
    return Float64Array.of(4 * (a! + b!) ** 2 + 0.9 * (a! - 6) ** 2 + 20);
  }
}

describe("the search over all jigs and stops", () => {
  const stops = adjusters.filter(({ kind }) => kind === "stop").slice(0, 2);
  const estimates = new Float64Array(sources.length);
  const forecast = drawCells(demoJob, cellSpecimen(demoJob), {
    estimates,
    covariance: new Float64Array(sources.length ** 2),
    draws: 2,
    seed: 1,
  });
  const table = new Tied(forecast, stops);
  const still = stops.map(() => NO_MOVE);
  const everyPair = (own: readonly Adjuster[]) =>
    own[0]!.settings.flatMap((a) => own[1]!.settings.map((b) => table.total([a, b])));

  it("finds moves that only help together, which one at a time does not", () => {
    const least = Math.min(...everyPair(stops));
    const alone = descend(table, still, [0, 0]);
    expect(table.total(alone)).toBeGreaterThan(least + 1);
    expect(table.total(searchMoves(table, [still], [0, 0]))).toBeCloseTo(least, 9);
  });
});
