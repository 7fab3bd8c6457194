import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { meanCount, meanOver, quantileOver } from "../../../src/features/panel/compare.js";
import { diagonalDifference } from "../../../src/features/panel/panel-prediction.js";
import { predictPanel } from "../../../src/features/panel/predict-panel.js";
import type { Panel } from "../../../src/model/job/panel.js";
import { panelJob } from "./support/panel-job.js";

const budgetOf = async (panel: Partial<Panel>, change = {}) =>
  (await predictPanel(panelJob(panel, change), { panels: 200, ways: false, threads: 1 })).budget!;

describe("what drives a panel", () => {
  it("is the one thing that is wrong, and without it all cells close", async () => {
    const { laps } = panelJob().panel!;
    const job = panelJob(
      { racked: 0, border: { thickness: 4, turn: 0 }, laps: { ...laps, place: 0.15, width: 4 } },
      { betweenCutSd: { angle: 0, length: 0, thickness: 0 }, batchThickness: 0 },
    );
    const quiet = {
      ...job,
      jigs: job.jigs.map((jig) => ({ ...jig, priorSd: 0 })),
      setUps: job.setUps.map((setUp) => ({ ...setUp, stop: setUp.stop && { ...setUp.stop, priorSd: 0 } })),
    };
    const { budget, refits, sharedSpread } = await predictPanel(quiet, { panels: 200, ways: false });
    const [first] = budget!.sources;
    expect(first!.name).toBe("places of the laps");
    expect(refits.mean.value).toBeGreaterThan(1);
    expect(first!.fewerRefits.value).toBe(budget!.refits.value);
    expect(budget!.together.map(({ name }) => name)).toContain("all of the grid");
    expect(budget!.together.find(({ name }) => name === "all of the pieces")).toBeUndefined();
    // Laps of one panel have nothing in common but neighbours' walls.
    expect(sharedSpread).toBeLessThan(0.1);
  });

  it("takes the grid's batch for the pieces' where they are one stock", async () => {
    const same = await budgetOf({});
    const own = await budgetOf({ gridStock: "own" });
    const names = ({ sources }: typeof same) => sources.map(({ name }) => name);
    expect(names(same)).toContain("thickness of the batch");
    expect(names(same)).not.toContain("thickness of the grid's batch");
    expect(names(own)).toContain("thickness of the grid's batch");
  });

  it("leaves nothing when everything is perfect", async () => {
    const { refits, together } = await budgetOf({});
    const both = together.filter(({ kind }) => kind !== "mixed");
    expect(both).toHaveLength(2);
    expect(refits.value).toBeGreaterThan(0);
    for (const { fewerRefits } of together) expect(fewerRefits.value).toBeLessThanOrEqual(refits.value);
  });
});

describe("figures over panels", () => {
  it("have bounds that hold the truth as often as they say", () => {
    // Means of 50 counts with mean 3 each: 1000 times, at 95 %. Between 928 and 969 lie all but one of a thousand such experiments.
    const stream = createStream(3);
    let [held, wrong] = [0, 0];
    for (let k = 0; k < 1000; k++) {
      const counts = Float64Array.from({ length: 50 }, () => {
        let sum = 0;
        for (let i = 0; i < 10; i++) sum += stream.uniform() < 0.3 ? 1 : 0;
        return sum;
      });
      const { low, high } = meanOver(counts);
      if (low <= 3 && 3 <= high) held++;
      if (low <= 3.6 && 3.6 <= high) wrong++;
    }
    expect(held).toBeGreaterThan(927);
    expect(held).toBeLessThan(970);
    expect(wrong).toBeLessThan(500);
  });

  it("never counted are bounded by what a Poisson count would have shown", () => {
    const { value, low, high } = meanCount(new Float64Array(100));
    expect([value, low]).toEqual([0, 0]);
    expect(Math.exp(-100 * high)).toBeCloseTo(0.025, 12);
  });

  it("have quantiles by rank", () => {
    const { value, low, high } = quantileOver(
      Float64Array.from({ length: 99 }, (_, k) => 99 - k),
      0.5,
    );
    expect(value).toBe(50);
    expect(low).toBeLessThan(45);
    expect(high).toBeGreaterThan(55);
  });

  it("tell racking by the diagonals of the border", () => {
    // A square: d₁ − d₂ = a√2·(√(1 + sin φ) − √(1 − sin φ)), about a√2·φ.
    expect(diagonalDifference(300, 300, 0.001)).toBeCloseTo(300 * Math.SQRT2 * 0.001, 6);
    // Corners by coordinates: the upper ones moved sideways by h·sin φ, and down.
    const [w, h, phi] = [276, 212, 0.01];
    const corner = { x: h * Math.sin(phi), y: h * Math.cos(phi) };
    const d = Math.hypot(w + corner.x, corner.y) - Math.hypot(w - corner.x, corner.y);
    expect(diagonalDifference(w, h, phi)).toBeCloseTo(d, 9);
  });
});
