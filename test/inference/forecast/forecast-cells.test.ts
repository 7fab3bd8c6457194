import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { describe, expect, it } from "vitest";
import { present } from "../../../src/core/numeric/dense.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { orderDifference } from "../../../src/inference/forecast/cross-checks.js";
import { type Forecast, forecastCells } from "../../../src/inference/forecast/forecast-cells.js";
import { forecastSources } from "../../../src/inference/forecast/forecast-sources.js";
import { budgetPoints } from "../../../src/inference/forecast/group-budget.js";
import { BEYOND, BlockTally, FORECAST_BLOCK } from "../../../src/inference/forecast/tally-blocks.js";
import { jobPosterior } from "../../../src/inference/job-posterior.js";
import { loadTrials } from "../../../src/io/trials/load-trials.js";
import { createKernel } from "../../../src/physics/kernel/seating-kernel.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { runTrials } from "../../checks/bench/run-trials.js";
import { longIt } from "../../tools/longer.js";
import { DEMO, quietJob } from "./support/quiet-job.js";

/** Further threads run from the built files: a thread cannot load TypeScript. */
const built = join(import.meta.dirname, "../../../dist/inference/forecast/forecast-cells.js");
const loadBuilt = async (): Promise<typeof forecastCells> => {
  if (!existsSync(built)) throw new Error("This test runs the built files: npm run build first.");
  return (await import(built)).forecastCells;
};

/** What is told of the cells, as text: every bit of every number. */
const toldOf = ({ cell, joints, status, trials, gapCounts }: Forecast): string =>
  JSON.stringify([cell, joints, status, trials, gapCounts.mean]);

/** The cells alone, without what costs time. */
const CELLS = { budget: false, bothOrders: 0 } as const;

const interruptedAt = (block: number, stop: AbortController) => {
  let seen = 0;
  return () => {
    seen++;
    if (seen === block) stop.abort();
  };
};

describe("a forecast", () => {
  it("seats the same cells as a plain run of trials", async () => {
    const trials = FORECAST_BLOCK + 5000;
    const { cell } = await forecastCells(DEMO, { trials, seed: 5, budget: false, bothOrders: 0 });
    const sources = forecastSources(DEMO);
    const { gap, snug } = DEMO.limits;
    const plain = await runTrials(sources.cell, {
      trials,
      seed: 5,
      pressRatio: DEMO.pressRatio,
      inputs: sources.inputs,
      limits: { gap, press: snug },
    });
    expect(cell.closes.value).toBe(plain.closing / trials);
    for (const { p, value } of cell.quantiles) expect(value).toBe(plain.widestGap.quantile(p));
    for (const { p, value } of cell.pressQuantiles) expect(value).toBe(plain.deepestPress.quantile(p));
    expect(cell.mean / plain.widestGap.mean - 1).toBeCloseTo(0, 3);
  });

  it("does no more beside the cells than a hundred of them are worth", async () => {
    const { shops, budget } = await forecastCells(DEMO, { trials: 100, bothOrders: 0, threads: 1 });
    expect(shops?.cells).toBe(8);
    const { lines, evaluations } = present(budget);
    // 256 pairs of cells, and at most two cells a group to each.
    expect(evaluations).toBeLessThanOrEqual(256 * (2 + 2 * lines.length));
    expect([100, 2000, 16_384, 1e6].map(budgetPoints)).toEqual([16, 128, 1024, 1024]);
  });

  longIt(
    "corrects the figures of first order by what exact order changes in cells seated in both",
    async () => {
      // Errors large enough for the orders to differ: the fit of the demonstration job, as its jigs stand.
      const posterior = jobPosterior(DEMO, loadTrials(dirname(DEMO.file), DEMO));
      const options = { posterior, trials: 12_288, seed: 5, threads: 1, budget: false } as const;
      const plain = await forecastCells(DEMO, { ...options, bothOrders: 0 });
      const corrected = await forecastCells(DEMO, { ...options, bothOrders: 3000 });
      const exact = await forecastCells(DEMO, { ...options, order: "exact" });
      expect(corrected.orders!.trials).toBe(3000);
      expect(corrected.orders!.widestGap.largest).toBeGreaterThan(0);
      const median = ({ cell }: typeof exact): number => cell.quantiles[2]!.value;
      const { value, standardError } = corrected.orders!.shifts.gap[2]!;
      expect(median(corrected) - median(plain)).toBeCloseTo(value, 12);
      expect(standardError).toBeGreaterThan(0);
      // The same cells in exact order throughout: what is left is the error of the shift, from a tenth of the cells.
      expect(Math.abs(median(plain) - median(exact))).toBeGreaterThan(5 * standardError);
      expect(Math.abs(median(corrected) - median(exact))).toBeLessThan(4 * standardError);
      expect(corrected.joints).toEqual(plain.joints);
    },
  );

  it("counts the same however the trials are batched", () => {
    const sources = forecastSources(DEMO);
    const model = cellModel(sources.cell);
    const kernel = createKernel(model, sources);
    const tally = new BlockTally(kernel, DEMO.limits, 700, 9);
    tally.work(0);
    const stream = createStream(9);
    const byHand = new Float64Array(BEYOND.kinds * (sources.cell.joints.length + 1));
    const judge = (row: number, gap: number, press: number): void => {
      const over = [gap > DEMO.limits.gap, press > DEMO.limits.snug];
      const kinds = [over[0], over[1], over[0] || over[1]];
      kinds.forEach((yes, kind) => {
        if (yes) byHand[BEYOND.kinds * row + kind]!++;
      });
    };
    for (let trial = 0; trial < 700; trial++) {
      stream.fill(kernel.drawsOf(0));
      kernel.seat(1);
      judge(0, kernel.widestGap(0), kernel.deepestPress(0));
      for (let j = 0; j < sources.cell.joints.length; j++) {
        const ends = [kernel.gap(0, 2 * j), kernel.gap(0, 2 * j + 1)];
        judge(j + 1, Math.max(...ends), -Math.min(...ends));
      }
    }
    expect([...tally.total().beyond]).toEqual([...byHand]);
    expect(byHand[BEYOND.either]).toBeGreaterThan(0);
  });

  longIt("is the same for any number of threads, bit for bit, and not for another seed", async () => {
    const forecast = await loadBuilt();
    const trials = 3 * FORECAST_BLOCK + 777;
    const told = [];
    for (const threads of [1, 2, 3]) told.push(toldOf(await forecast(DEMO, { ...CELLS, trials, threads })));
    expect(told[1]).toBe(told[0]);
    expect(told[2]).toBe(told[0]);
    expect(toldOf(await forecast(DEMO, { ...CELLS, trials, seed: 2 }))).not.toBe(told[0]);
  });

  longIt("stops by itself when it is stable, at the same trial for any number of threads", async () => {
    const forecast = await loadBuilt();
    const job = quietJob(["diagonal-end", "hinge-mitre"]);
    const [one, two] = [
      await forecast(job, { ...CELLS, trials: "adaptive", threads: 1 }),
      await forecast(job, { ...CELLS, trials: "adaptive", threads: 2 }),
    ];
    expect(one.status).toBe("stable");
    expect(2 * Math.max(...one.cell.shortestErrors!)).toBeLessThan(one.tolerance!);
    expect(toldOf(two)).toBe(toldOf(one));
  });

  it("interrupted tells what as many trials would", async () => {
    const stop = new AbortController();
    const stopped = await forecastCells(DEMO, {
      trials: 50 * FORECAST_BLOCK,
      threads: 1,
      signal: stop.signal,
      onProgress: interruptedAt(2, stop),
    });
    expect(stopped).toMatchObject({ status: "stopped", budget: null, orders: null });
    expect(stopped.trials % FORECAST_BLOCK).toBe(0);
    expect(stopped.trials).toBeLessThan(5 * FORECAST_BLOCK);
    const whole = await forecastCells(DEMO, { ...CELLS, trials: stopped.trials, threads: 1 });
    expect(stopped.cell).toEqual(whole.cell);
    expect(stopped.joints).toEqual(whole.joints);
  });

  it("trusts the law of propagation where every joint is far from touching, and not where all just touch", async () => {
    const quiet = quietJob(["diagonal-end"]);
    const stopped = {
      ...quiet,
      setUps: quiet.setUps.map((setUp) =>
        setUp.name === "diagonal-end"
          ? { ...setUp, stop: { step: null, priorMean: -0.5, priorSd: 0.02 } }
          : setUp,
      ),
    };
    const far = await forecastCells(stopped, { ...CELLS, trials: 30_000 });
    const touching = await forecastCells(DEMO, { ...CELLS, trials: 30_000 });
    expect(far.cell.linearVerdict.status).toBe("trusted");
    expect(far.cell.linear.standardUncertainty / far.cell.standardDeviation).toBeCloseTo(1, 1);
    expect(touching.cell.linearVerdict.status).toBe("not trusted");
  });

  it("seats every cell in exact order when asked, and then has no order to compare with", async () => {
    const options = { ...CELLS, trials: 2000, seed: 3 };
    const exact = await forecastCells(DEMO, { ...options, order: "exact" });
    const both = orderDifference(forecastSources(DEMO), { ...DEMO, ...options });
    expect(exact.orders).toBeNull();
    expect(1 - exact.cell.closes.value).toBeCloseTo(both.fails.exact.value, 12);
  });

  it("refuses what it cannot do", async () => {
    await expect(forecastCells(DEMO, { trials: 12 })).rejects.toThrow(/trials is out of range/);
    await expect(forecastCells(DEMO, { seed: -1 })).rejects.toThrow(/seed is out of range/);
    await expect(forecastCells(quietJob([]))).rejects.toThrow(/nothing to simulate/);
  });
});
