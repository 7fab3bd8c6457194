import { describe, expect, it } from "vitest";
import { panelCharts, panelJson } from "../../../src/features/panel/panel-report.js";
import { panelText } from "../../../src/features/panel/panel-text.js";
import { predictPanel } from "../../../src/features/panel/predict-panel.js";
import { CAUTIONS } from "../../../src/render/cautions.js";
import { TRIANGLES, trianglesWith } from "./support/panel-job.js";

const spoken = (text: string): string => text.replace(/\s+/g, " ");
const QUICK = { panels: 100, ways: false, budget: false, threads: 1 } as const;

describe("what is told of a three-way panel", async () => {
  const prediction = await predictPanel(TRIANGLES, QUICK);
  const text = spoken(panelText(prediction));

  it("says what its cells are, how they lie, and which are left out", () => {
    expect(text).toContain("2 × 5 cells (rows × columns), triangles of 60.00 mm a side");
    expect(text).toContain("The first cell of row 1 stands on its point");
    expect(text).toContain("4 more are cut in half by the border");
    for (const caution of CAUTIONS) expect(text).toContain(caution);
  });

  it("tells of laps what three of them do, and of no racking", () => {
    // √3 · 0.02 mm against a stop.
    expect(text).toContain("The three laps of a crossing disagree by 0.035 mm");
    expect(text).toContain("out of flush by 0.100 mm");
    expect(text).not.toContain("diagonals that differ");
    expect(text).toContain("cannot rack");
    expect(text).toContain("the side of its opening");
  });

  it("says nothing of crossings where a single row has none", async () => {
    const one = await predictPanel(trianglesWith({ rows: 1, columns: 2 }), QUICK);
    expect(spoken(panelText(one))).not.toContain("The three laps of a crossing");
  });

  it("is drawn in triangles, and told as data", () => {
    const [, fails] = panelCharts(prediction)[0]!;
    expect(fails.description).toContain("2 × 5 triangles");
    const data = JSON.parse(JSON.stringify(panelJson(prediction)));
    expect(data.nominal).toMatchObject({ grid: "three-way", halves: 4, strip: 4 });
    expect(data.panel).toMatchObject({ racked: 0, diagonals: null });
  });
});
