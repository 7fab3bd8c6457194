import { describe, expect, it } from "vitest";
import { predictPanel } from "../../../src/features/panel/predict-panel.js";
import { panelJob } from "./support/panel-job.js";

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
        ...{ rows: 6, columns: 6, racked: 0, diagonals: "parallel", border: { thickness: 4, turn: 0 } },
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
