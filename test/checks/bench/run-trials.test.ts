import { existsSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { BLOCK_TRIALS } from "../../../src/inference/forecast/tally-blocks.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { independentErrors } from "../../../src/physics/kernel/trial-record.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { longIt } from "../../tools/longer.js";
import { DEGREE, squareCell } from "../validate/cells.js";
import { runTrials, type TrialOptions } from "./run-trials.js";

const cell = squareCell(60, 3);
const deviations = Float64Array.from(errorLayout(cell).entries, ({ kind }) =>
  kind === "angle" || kind === "turn" ? 0.1 * DEGREE : 0.03,
);
const OPTIONS: TrialOptions = {
  trials: 3 * BLOCK_TRIALS + 1000,
  seed: 7,
  limits: { gap: 0.1, press: 0.02 },
  inputs: independentErrors(deviations),
  keepValues: true,
};

/** Further threads run from the built files: a thread cannot load TypeScript. */
const built = join(import.meta.dirname, "../../../dist-checks/test/checks/bench/run-trials.js");
const loadBuilt = async (): Promise<typeof runTrials> => {
  if (!existsSync(built)) throw new Error("This test runs the built files: npm run build:checks first.");
  return (await import(built)).runTrials;
};

describe("running trials", () => {
  it("draws block k from sub-stream k and seats it", async () => {
    const { values } = await runTrials(cell, { ...OPTIONS, threads: 1 });
    const model = cellModel(cell);
    for (const block of [0, 2, 3]) {
      const stream = createStream(OPTIONS.seed, block);
      for (let k = 0; k < 20; k++) {
        const errors = deviations.map((deviation) => deviation * stream.normal());
        const { gap } = solveEquilibrium(model, errors, { order: "first" }).rest;
        const at = block * BLOCK_TRIALS + k;
        expect(values!.widestGap[at]).toBeCloseTo(Math.max(0, ...gap), 10);
        expect(values!.deepestPress[at]).toBeCloseTo(Math.max(0, ...gap.map((g) => -g)), 10);
      }
    }
  });

  it("sums up what it found", async () => {
    const { values, widestGap, deepestPress, closing, trials } = await runTrials(cell, {
      ...OPTIONS,
      threads: 1,
    });
    const gaps = [...values!.widestGap].sort((a, b) => a - b);
    const mean = gaps.reduce((sum, g) => sum + g, 0) / trials;
    expect(widestGap.mean).toBeCloseTo(mean, 12);
    const deviation = Math.sqrt(gaps.reduce((sum, g) => sum + (g - mean) ** 2, 0) / (trials - 1));
    expect(widestGap.standardDeviation).toBeCloseTo(deviation, 12);
    expect([widestGap.smallest, widestGap.largest]).toEqual([gaps[0], gaps[trials - 1]]);
    const own = gaps[Math.ceil(0.95 * trials) - 1]!;
    expect(Math.abs(widestGap.quantile(0.95) / own - 1)).toBeLessThan(0.0005);
    expect(deepestPress.largest).toBe(values!.deepestPress.reduce((a, b) => Math.max(a, b), 0));
    const closed = values!.widestGap.filter((g, k) => g <= 0.1 && values!.deepestPress[k]! <= 0.02);
    expect(closing).toBe(closed.length);
    expect(closing).toBeGreaterThan(0);
    expect(closing).toBeLessThan(trials);
  });

  longIt.each(["first", "exact"] as const)(
    "gives the same bits in %s order whatever the number of threads",
    async (order) => {
      const run = await loadBuilt();
      const results = [];
      for (const threads of [1, 2, 3]) results.push(await run(cell, { ...OPTIONS, order, threads }));
      const [one, ...more] = results;
      for (const other of more) {
        expect(other.values).toEqual(one!.values);
        for (const what of ["widestGap", "deepestPress"] as const) {
          const { quantile, ...numbers } = one![what];
          expect(other[what]).toMatchObject(numbers);
          for (const p of [0.05, 0.5, 0.95]) expect(other[what].quantile(p)).toBe(quantile(p));
        }
        expect(other.closing).toBe(one!.closing);
      }
    },
  );

  it("gives other trials for another seed", async () => {
    const [a, b] = [
      await runTrials(cell, { ...OPTIONS, threads: 1 }),
      await runTrials(cell, { ...OPTIONS, seed: 8, threads: 1 }),
    ];
    expect(a.widestGap.mean).not.toBe(b.widestGap.mean);
    // Both means lie within five standard errors of each other.
    const standardError = a.widestGap.standardDeviation * Math.sqrt(2 / OPTIONS.trials);
    expect(Math.abs(a.widestGap.mean - b.widestGap.mean)).toBeLessThan(5 * standardError);
  });

  it.each([0, 1.5, Number.NaN, -3])("refuses %f trials", async (trials) => {
    await expect(runTrials(cell, { ...OPTIONS, trials })).rejects.toThrow(/number of trials must be whole/);
  });

  it.each([0, 1.5])("refuses %f threads", async (threads) => {
    await expect(runTrials(cell, { ...OPTIONS, threads })).rejects.toThrow(/number of threads must be whole/);
  });

  it("passes on what goes wrong in a further thread", async () => {
    const run = await loadBuilt();
    const inputs = { ...OPTIONS.inputs, matrix: OPTIONS.inputs.matrix.map(() => 40) };
    await expect(run(cell, { ...OPTIONS, inputs, order: "exact", threads: 2 })).rejects.toThrow(
      /no rest|not held/,
    );
  });
});
