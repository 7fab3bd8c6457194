import { existsSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { normalSurvival } from "../../../src/core/numeric/normal.js";
import { createStreams } from "../../../src/core/numeric/random-stream.js";
import { PanelDrawer, panelSources } from "../../../src/features/panel/draw-panel.js";
import { PANEL_WAYS } from "../../../src/features/panel/grid-shape.js";
import type { PanelPrediction } from "../../../src/features/panel/panel-prediction.js";
import { PanelTally, panelRows, ROW, readyPanel } from "../../../src/features/panel/panel-tally.js";
import { type PanelOptions, predictPanel } from "../../../src/features/panel/predict-panel.js";
import { predictFitted } from "../../../src/physics/fitting/fit-lengths.js";
import { errorsOf } from "../../../src/physics/kernel/trial-record.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { panelJob, trianglesWith } from "./support/panel-job.js";

/** Further threads run from the built files: a thread cannot load TypeScript. */
const built = join(import.meta.dirname, "../../../dist/features/panel/predict-panel.js");
const loadBuilt = async (): Promise<typeof predictPanel> => {
  if (!existsSync(built)) throw new Error("This test runs the built files: npm run build first.");
  return (await import(built)).predictPanel;
};

const ALONE: PanelOptions = { ways: false, budget: false, threads: 1 };
const toldOf = ({ job: _, ...rest }: PanelPrediction): string => JSON.stringify(rest);

describe("a panel", () => {
  it.each(
    PANEL_WAYS.flatMap((way) =>
      (["first", "exact"] as const).flatMap((order) =>
        (["rectangles", "triangles"] as const).map((cells) => [way, order, cells] as const),
      ),
    ),
  )(
    "simulated cell by cell with the readable prediction, on the same draws, is the same: %s, %s order, %s",
    (way, order, shape) => {
      const size = { rows: 2, columns: 3 };
      const job = shape === "triangles" ? trianglesWith(size) : panelJob(size);
      const [seed, panels] = [11, 3];
      const task = { job, way, order, seed, panels };
      const rows = panelRows(task);
      const tally = new PanelTally(readyPanel(task));
      expect(tally.work(0, rows)).toBe(panels);
      const sources = panelSources(job);
      const drawer = new PanelDrawer(sources, way);
      const errors = new Float64Array(sources.inputs.mean.length);
      const { gap: gapLimit, snug } = job.limits;
      for (const [panel, stream] of createStreams(seed, panels).entries()) {
        drawer.draw(stream, panel);
        const width = sources.inputs.draws;
        const cells = Array.from({ length: 6 }, (_, cell) => {
          errorsOf(sources.inputs, drawer.drawn.subarray(cell * width, (cell + 1) * width), errors);
          const options = { order, pressRatio: job.pressRatio };
          return way === "fitted"
            ? predictFitted(sources.cell, errors, { ...options, snug })
            : predictCell(sources.cell, errors, options);
        });
        const told = (what: number): number => rows[panel * ROW.numbers + what]!;
        expect(told(ROW.widestGap)).toBeCloseTo(Math.max(...cells.map(({ widestGap }) => widestGap)), 8);
        expect(told(ROW.deepestPress)).toBeCloseTo(
          Math.max(...cells.map(({ deepestPress }) => deepestPress)),
          8,
        );
        expect(told(ROW.sum)).toBeCloseTo(
          cells.reduce((sum, { widestGap }) => sum + widestGap, 0),
          8,
        );
        const fails = cells.filter(
          ({ widestGap, deepestPress }) => widestGap > gapLimit || (way !== "fitted" && deepestPress > snug),
        );
        expect(told(ROW.fails)).toBe(fails.length);
      }
      const failed = Array.from({ length: panels }, (_, k) => rows[k * ROW.numbers + ROW.fails]!);
      expect(tally.places.fails.reduce((sum, count) => sum + count)).toBe(failed.reduce((a, b) => a + b));
    },
  );

  it("closes as often by the fast way as by exact-order simulation, within Monte Carlo error", async () => {
    // Other panels in the other order, so that the two are independent; at this size what first order leaves out is below a fifth of the error.
    const job = panelJob();
    const [first, exact] = await Promise.all([
      predictPanel(job, { ...ALONE, panels: 4000, seed: 1 }),
      predictPanel(job, { ...ALONE, panels: 4000, seed: 2, order: "exact" }),
    ]);
    const p = (first.closes.value + exact.closes.value) / 2;
    const error = Math.sqrt((2 * p * (1 - p)) / 4000);
    expect(p).toBeGreaterThan(0.2);
    expect(p).toBeLessThan(0.8);
    expect(Math.abs(first.closes.value - exact.closes.value)).toBeLessThan(3.5 * error);
    expect(Math.abs(first.orders!.closes.first.value - first.orders!.closes.exact.value)).toBeLessThan(0.02);
    // The negative control: cells that had nothing in common would be another answer.
    expect(Math.abs(first.closes.value - first.closesUnshared)).toBeGreaterThan(3.5 * error);
  });

  it.each([
    ["rectangles", panelJob({ rows: 4, columns: 5 })],
    ["triangles", trianglesWith({ rows: 4, columns: 5 }, { way: "indexed" })],
  ])("of %s is the same for any number of threads, bit for bit, and not for another seed", async (_, job) => {
    const predict = await loadBuilt();
    const told: string[] = [];
    for (const threads of [1, 2, 3])
      told.push(toldOf(await predict(job, { ...ALONE, panels: 1500, threads })));
    expect(told[1]).toBe(told[0]);
    expect(told[2]).toBe(told[0]);
    expect(toldOf(await predict(job, { ...ALONE, panels: 1500, seed: 2 }))).not.toBe(told[0]);
  });

  it("stopped early tells what the panels done so far say, and is then the same as so many asked for", async () => {
    const stop = new AbortController();
    const job = panelJob();
    const stopped = await predictPanel(job, {
      ways: true,
      budget: true,
      threads: 1,
      panels: 20_000,
      signal: stop.signal,
      onProgress: ({ done }) => {
        if (done > 1000) stop.abort();
      },
    });
    expect(stopped.status).toBe("stopped");
    expect(stopped.panels).toBeGreaterThan(1000);
    expect(stopped.panels).toBeLessThan(20_000);
    expect([stopped.orders, stopped.ways, stopped.budget]).toEqual([null, null, null]);
    const whole = await predictPanel(job, { ...ALONE, panels: stopped.panels });
    // Only a panel that was finished is corrected to exact order.
    const { closes, refits } = stopped;
    expect(toldOf({ ...whole, status: "stopped", orders: null, closes, refits })).toBe(toldOf(stopped));
    expect(Math.abs(whole.closes.value - closes.value)).toBeLessThan(0.1);
  });

  it("of one cell with one source closes as the closed form says", async () => {
    // Only the diagonal's stop is off. In first order twice the error is twice the gap: the cell fails beyond a length either way.
    const quiet = panelJob(
      { rows: 1, columns: 1, racked: 0, border: { thickness: 4, turn: 0 }, gridStock: "own" },
      { betweenCutSd: { angle: 0, length: 0, thickness: 0 }, batchThickness: 0 },
    );
    const job = {
      ...quiet,
      panel: { ...quiet.panel!, laps: { ...quiet.panel!.laps, place: 0, width: quiet.strip } },
      jigs: quiet.jigs.map((jig) => ({ ...jig, priorSd: 0 })),
      setUps: quiet.setUps.map((setUp) => ({
        ...setUp,
        stop: setUp.stop && { ...setUp.stop, priorSd: setUp.name === "diagonal-end" ? 0.1 : 0 },
      })),
    };
    const sources = panelSources(job);
    expect(sources.own).toEqual([]);
    const limit = (z: number): number => {
      const errors = new Float64Array(sources.inputs.mean.length);
      const drawn = new Float64Array(sources.inputs.draws);
      drawn[sources.shared[0]!] = z;
      errorsOf(sources.inputs, drawn, errors);
      const { widestGap, deepestPress } = predictCell(sources.cell, errors, { order: "first" });
      return Math.min(job.limits.gap / widestGap, job.limits.snug / deepestPress);
    };
    const closes = 1 - normalSurvival(limit(1)) - normalSurvival(limit(-1));
    expect(closes).toBeGreaterThan(0.1);
    expect(closes).toBeLessThan(0.9);
    const told = await predictPanel(job, { ...ALONE, panels: 20_000 });
    // Four standard errors: met in all but one of 16 000 cases.
    const error = Math.sqrt((closes * (1 - closes)) / 20_000);
    expect(Math.abs(told.closes.value - closes)).toBeLessThan(4 * error);
    expect(told.sharedSpread).toBe(1);
  });

  it("has a size that spreads as its laps say", async () => {
    const at = async (way: "stop" | "indexed") => {
      const { laps } = panelJob().panel!;
      const job = panelJob(
        { rows: 2, columns: 9, racked: 0, laps: { ...laps, way, bundled: true, place: 0.05 } },
        { betweenCutSd: { angle: 0, length: 0, thickness: 0 }, batchThickness: 0 },
      );
      return (await predictPanel(job, { ...ALONE, panels: 2000 })).size.width;
    };
    const [stop, indexed] = [await at("stop"), await at("indexed")];
    expect([stop.byLaps, indexed.byLaps]).toEqual([0.05, 0.15000000000000002]);
    // A standard deviation from n draws is good to 1/√(2n), 1.6 %: four of those.
    expect(stop.standardDeviation / 0.05).toBeCloseTo(1, 1);
    expect(Math.abs(indexed.standardDeviation / 0.15 - 1)).toBeLessThan(0.065);
    expect(stop.mean - stop.nominal).toBeCloseTo(0, 2);
  });

  it.each([
    [{ panels: 10 }, "number of panels is out of range"],
    [{ panels: 2e6 }, "number of panels is out of range"],
    [{ seed: -1 }, "seed is out of range"],
    [{ threads: 0 }, "number of threads is out of range"],
  ] as const)("refuses %o", async (options, words) => {
    await expect(predictPanel(panelJob(), options)).rejects.toThrow(words);
  });

  it("needs a panel in the job", async () => {
    await expect(predictPanel({ ...panelJob(), panel: null })).rejects.toThrow("The job has no panel");
  });
});

const alone = { ways: false, budget: false, threads: 1, panels: 2000 } as const;

describe("the place that fails most often", () => {
  it("stands out where the grid makes one place worse", async () => {
    // Indexed laps run apart: the far corner is the worst.
    const { laps } = panelJob().panel!;
    const job = panelJob({ rows: 6, columns: 6, laps: { ...laps, way: "indexed", place: 0.03 } });
    const { worstStandsOut, worstPlace, places } = await predictPanel(job, alone);
    expect(worstStandsOut).toBe(true);
    expect(worstPlace.row + worstPlace.column).toBeGreaterThan(8);
    expect(worstPlace.fails.value).toBe(Math.max(...places.map(({ fails }) => fails.value)));
  });

  it("does not where all places are alike", async () => {
    const { laps } = panelJob().panel!;
    const job = panelJob(
      {
        rows: 6,
        columns: 6,
        racked: 0,
        diagonals: "parallel",
        border: { thickness: 4, turn: 0 },
        laps: { ...laps, place: 0, width: 4 },
      },
      { betweenCutSd: { angle: 0.002, length: 0.03, thickness: 0 }, batchThickness: 0 },
    );
    const { worstStandsOut, worstPlace, refits } = await predictPanel(job, alone);
    expect(refits.mean.value).toBeGreaterThan(0.3);
    expect(worstPlace.fails.value).toBeGreaterThan(refits.mean.value / 36);
    expect(worstStandsOut).toBe(false);
  });
});
