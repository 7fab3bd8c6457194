import { describe, expect, it } from "vitest";
import { drawPicture, pictureNames } from "../../../src/features/draw/pictures.js";
import { panelCharts, panelJson } from "../../../src/features/panel/panel-report.js";
import { countText, withinText } from "../../../src/features/panel/panel-tables.js";
import { panelText } from "../../../src/features/panel/panel-text.js";
import { predictPanel } from "../../../src/features/panel/predict-panel.js";
import { CAUTIONS } from "../../../src/render/cautions.js";
import { panelJob } from "./support/panel-job.js";

const spoken = (text: string): string => text.replace(/\s+/g, " ");

describe("what is told of a panel", async () => {
  const prediction = await predictPanel(panelJob({ rows: 2, frame: { width: 214, height: 150, play: 3 } }), {
    panels: 300,
  });
  const text = panelText(prediction);

  it("has the answer, the cells, the ways, what drives it, the grid and the cautions", () => {
    for (const part of [
      "IN SHORT",
      "TO COME",
      "WHERE",
      "THREE WAYS",
      "WHAT DRIVES IT",
      "THE GRID",
      "diagonals that differ",
    ])
      expect(text).toContain(part);
    for (const caution of CAUTIONS) expect(spoken(text)).toContain(caution);
    expect(spoken(text)).toMatch(/goes in as it should in .* of the cases/);
  });

  it("names what is counted", () => {
    const { row, column } = prediction.worstPlace;
    expect(spoken(text)).toContain(`row ${row}, column ${column}`);
    expect(text).toContain("of 6");
    expect(text).toContain(countText(prediction.refits.mean));
  });

  it("is in inches where the job is", () => {
    const inches = panelText({ ...prediction, job: { ...prediction.job, units: "in" } });
    expect(inches).toContain("thou");
    expect(inches).not.toMatch(/\d mm/);
  });

  it("says less when it was stopped, and that it was", () => {
    const stopped = panelText({ ...prediction, status: "stopped", orders: null, ways: null, budget: null });
    expect(spoken(stopped)).toContain("stopped early, this is what is known so far");
    expect(stopped).not.toContain("THREE WAYS");
    expect(stopped).toContain("were not worked out");
  });

  it("is drawn with a figure for every cell", () => {
    const charts = new Map(panelCharts(prediction));
    expect([...charts.keys()]).toEqual(["panel-fails", "panel-gaps", "panel-budget"]);
    expect(charts.get("panel-fails")!.description).toMatch(
      /2 × 3 cells, from .* to .*; largest in row \d, column \d/,
    );
  });

  it("goes to other programs in mm and degrees", () => {
    const json = JSON.parse(JSON.stringify(panelJson(prediction)));
    expect(json.panel.racked).toBeCloseTo(0.04, 12);
    expect(json.closes.value).toBe(prediction.closes.value);
    expect(json.places).toHaveLength(6);
    expect(json.places[5]).toMatchObject({ row: 2, column: 3 });
  });
});

describe("counts and chances in a panel's text", () => {
  it.each([
    [{ value: 7.3969, low: 7.37, high: 7.43 }, "7.40 ± 0.03"],
    [{ value: 0, low: 0, high: 0.0041 }, "under 0.005"],
    [{ value: 4, low: 4, high: 4 }, "4"],
    [{ value: -0.06, low: -0.11, high: -0.01 }, "−0.06 ± 0.05"],
  ])("%j is %s", (estimated, text) => {
    expect(countText(estimated)).toBe(text);
  });

  it("never claim that all will close because all did", () => {
    expect(withinText({ value: 1, low: 0.9962, high: 1 })).toBe("over 99.61 %");
    expect(withinText({ value: 0.5, low: 0.4, high: 0.6 })).toBe("50 ± 10 %");
  });
});

describe("the pictures of a job", () => {
  it("have a panel's where it has one", async () => {
    const job = panelJob({ rows: 2 });
    const named = (one: typeof job) => pictureNames(one).filter(({ needs }) => needs === "panel").length;
    expect([named(job), named({ ...job, panel: null })]).toEqual([5, 0]);
    const { text } = await drawPicture("panel-fails", job, []);
    expect(text).toContain("2 × 3 cells");
  });
});
