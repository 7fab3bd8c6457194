import { describe, expect, it } from "vitest";
import { wallSpread } from "../../../src/features/panel/draw-panel.js";
import { panelJob } from "./support/panel-job.js";

const DEGREE = Math.PI / 180;
const quiet = { betweenCutSd: { angle: 0, length: 0, thickness: 0 }, batchThickness: 0 };

describe("how the walls of a panel's cells spread", () => {
  it.each([
    // A pitch has the variance 2σ² against a stop, σ² at the start; indexed σ² everywhere. Width and height halved: a quarter of both together.
    ["stop", (n: number) => (2 * n - 1) / n / 2],
    ["indexed", () => 1 / 2],
  ] as const)("follows from the pitches of bundled laps: %s", (way, share) => {
    const [side, place] = [8, 0.04];
    const { laps } = panelJob().panel!;
    const job = panelJob(
      {
        rows: side,
        columns: side,
        racked: 0,
        border: { thickness: 4, turn: 0 },
        laps: { ...laps, way, place, bundled: true, width: 4 },
      },
      quiet,
    );
    const { opening, turn } = wallSpread(job, 1);
    // 313 grids of 64 cells; a variance from at least 313 draws is good to √(2/313) = 8 %, a root to 4 %.
    expect(Math.abs(opening / (place * Math.sqrt(share(side))) - 1)).toBeLessThan(0.12);
    expect(turn).toBe(0);
  });

  it("is half the corner's miss where only that is wrong", () => {
    const { laps } = panelJob().panel!;
    const job = panelJob(
      { racked: 0.1 * DEGREE, border: { thickness: 4, turn: 0 }, laps: { ...laps, place: 0, width: 4 } },
      quiet,
    );
    const { opening, offset, turn } = wallSpread(job, 1);
    expect([opening, offset]).toEqual([0, 0]);
    expect(turn / (0.05 * DEGREE)).toBeCloseTo(1, 1);
  });
});
