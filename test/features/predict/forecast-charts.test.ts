import { describe, expect, it } from "vitest";
import { forecastCharts } from "../../../src/features/predict/forecast-report.js";
import { forecastCells } from "../../../src/inference/forecast/forecast-cells.js";
import type { Job } from "../../../src/model/job/job.js";
import { DEMO } from "../../inference/forecast/support/quiet-job.js";

const spreadOf = async (limits: Job["limits"]): Promise<string> => {
  const forecast = await forecastCells({ ...DEMO, limits }, { trials: 400, bothOrders: 0, threads: 1 });
  const spec = new Map(forecastCharts(forecast)).get("spread");
  return JSON.stringify(spec);
};

describe("the picture of the cells to come", () => {
  it("draws the press below the gap, with its limit, where press decides", async () => {
    const text = await spreadOf({ gap: 0.3, snug: 0.02 });
    expect(text).toContain("The widest gap and the deepest press of the cells to come");
    expect(text).toContain("Deepest press of a cell");
    expect(text).toContain("snug limit 0.02 mm");
    expect(text).toContain("press decides");
  });

  it("draws the gap alone where gaps decide", async () => {
    const text = await spreadOf({ gap: 0.02, snug: 0.3 });
    expect(text).toContain("The widest gap of the cells to come");
    expect(text).not.toContain("Deepest press");
  });
});
