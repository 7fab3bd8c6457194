import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { forecastCells } from "../../../src/inference/forecast/forecast-cells.js";
import { forecastSources } from "../../../src/inference/forecast/forecast-sources.js";
import { groupBudget } from "../../../src/inference/forecast/group-budget.js";
import type { Job } from "../../../src/model/job/job.js";
import { fitLengths } from "../../../src/physics/fitting/fit-lengths.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { sourceText } from "../../../src/render/source-text.js";
import { DEMO, quietJob } from "./support/quiet-job.js";

const FITTED: Job = { ...DEMO, lengths: "fitted" };
const CELLS = { budget: false, bothOrders: 0, threads: 1 } as const;

describe("a forecast on cells fitted by trial", () => {
  it("counts what the readable fit of the same draws gives", async () => {
    const trials = 200;
    const { cell, trims } = await forecastCells(FITTED, { trials, seed: 4, ...CELLS });
    const { inputs, cell: lattice } = forecastSources(FITTED);
    const model = cellModel(lattice);
    const stream = createStream(4);
    const drawn = new Float64Array(inputs.draws);
    const { gap, snug } = FITTED.limits;
    let [open, sum] = [0, 0];
    const short = new Array<number>(5).fill(0);
    for (let k = 0; k < trials; k++) {
      stream.fill(drawn);
      const errors = inputs.mean.map((start, e) =>
        drawn.reduce((value, x, d) => value + inputs.matrix[e * inputs.draws + d]! * x, start),
      );
      const fitted = fitLengths(model, errors, { snug, order: "first" });
      const worst = Math.max(0, ...solveEquilibrium(model, fitted.errors, { order: "first" }).rest.gap);
      if (worst > gap) open++;
      sum += worst;
      for (const [g, { wanted }] of fitted.groups.entries()) if (wanted > 0) short[g]!++;
    }
    expect(cell.closes.value).toBeCloseTo(1 - open / trials, 12);
    expect(cell.beyondPress.value).toBe(0);
    expect(cell.mean).toBeCloseTo(sum / trials, 4);
    expect(trims!.map(({ tooShort }) => tooShort.value * trials)).toEqual(
      short.map((n) => expect.closeTo(n, 6)),
    );
  });

  it("of a job where only a stop is off: always the same gaps, and what comes off is the stop's error", async () => {
    const job = quietJob(["diagonal-end"], { lengths: "fitted" });
    const { cell, trims } = await forecastCells(job, { trials: 20_000, ...CELLS });
    expect(cell.quantiles.at(-1)!.value).toBeLessThan(1e-6);
    expect(cell.closes.value).toBe(1);
    const [diagonal, hinges] = trims!;
    // The diagonal wants 2√2 of the snug limit more than nominal, less its stop's error: normal, 0.15 mm.
    const nominal = 2 * Math.SQRT2 * job.limits.snug;
    const at = (p: number) => diagonal!.wanted.find((one) => one.p === p)!.value;
    expect(at(0.5)).toBeCloseTo(nominal, 2);
    expect(at(0.95)).toBeCloseTo(nominal + 1.645 * 0.15, 1);
    expect(at(0.05)).toBeCloseTo(nominal - 1.645 * 0.15, 1);
    // Φ(0.1131 / 0.15) = 0.7746.
    expect(diagonal!.tooShort.value).toBeCloseTo(0.7746, 1);
    const [low, high] = [hinges!.wanted[0]!.value, hinges!.wanted.at(-1)!.value];
    expect(high - low).toBeLessThan(1e-3);
    // As cut, the same job fails in most cells.
    const asCut = await forecastCells({ ...job, lengths: "as-cut" }, { trials: 20_000, ...CELLS });
    expect(asCut.cell.closes.value).toBeLessThan(0.9);
    expect(asCut.trims).toBeNull();
  });

  it("takes the slopes of the law of propagation from fitted cells", async () => {
    const { cell } = await forecastCells(quietJob(["diagonal-end"], { lengths: "fitted" }), {
      trials: 500,
      ...CELLS,
    });
    expect(cell.linear.standardUncertainty).toBeLessThan(1e-6);
    const asCut = await forecastCells(quietJob(["diagonal-end"]), { trials: 500, ...CELLS });
    expect(asCut.cell.linear.standardUncertainty).toBeGreaterThan(0.01);
  });

  it("works out both orders and the budget of fitted cells: what a fit undoes drives nothing", async () => {
    const { orders } = await forecastCells(FITTED, {
      trials: 300,
      bothOrders: 60,
      budget: false,
      threads: 1,
    });
    expect(orders!.widestGap.rootMeanSquare).toBeGreaterThan(0);
    expect(orders!.widestGap.rootMeanSquare).toBeLessThan(0.02);
    const { limits, pressRatio } = FITTED;
    const options = { limits, pressRatio, order: "first", seed: 1, points: 128, replicates: 4 } as const;
    const budgetOf = async (more: { fitting?: { snug: number } }) => {
      const { lines } = (await groupBudget(forecastSources(FITTED), { ...options, ...more }))!;
      const total = (...names: string[]): number =>
        lines.reduce(
          (sum, { group, total }) => sum + (names.includes(sourceText(group.id)) ? total.value : 0),
          0,
        );
      return {
        ends: total("stop of diagonal-end", "stop of key-end"),
        hinges: total("stop of hinge-mitre", "stop of hinge-seat"),
      };
    };
    const [cut, fitted] = [await budgetOf({}), await budgetOf({ fitting: { snug: limits.snug } })];
    // What a diagonal or a key is too long comes off whole; of the hinge's two stops only what they share does.
    expect(cut.ends).toBeGreaterThan(0.1);
    expect(fitted.ends).toBeLessThan(1e-12);
    expect(fitted.hinges).toBeGreaterThan(0.1);
  }, 60_000);
});
