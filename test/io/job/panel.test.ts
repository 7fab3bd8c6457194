import { describe, expect, it } from "vitest";
import { loadJob } from "../../../src/io/job/load-job.js";
import { PANEL_DEFAULTS } from "../../../src/model/job/panel.js";
import { FULL, LEAST } from "../good-job.js";
import { faultsOf, inFolder } from "../in-folder.js";

const DEGREE = Math.PI / 180;
const load = (text: string) => loadJob(inFolder({ "job.yaml": text }));

describe("the panel of a job", () => {
  it("is null where the file has none", () => {
    expect(load(LEAST).panel).toBeNull();
  });

  it("takes laps as wide and a border as thick as the strip where the file is silent", () => {
    const { panel } = load(`${LEAST}panel: { rows: 2, columns: 5 }\n`);
    expect(panel).toEqual({
      rows: 2,
      columns: 5,
      diagonals: "alternate",
      gridStock: "same",
      frame: null,
      border: { thickness: 3, turn: PANEL_DEFAULTS.borderTurn },
      laps: { way: "stop", bundled: false, place: 0.03, width: 3, depth: null, depthSd: 0.05 },
      racked: PANEL_DEFAULTS.racked,
      measured: { pieces: 0.01, openings: 0.02 },
    });
  });

  it("comes out in mm and rad", () => {
    const { panel } = load(FULL);
    expect(panel?.racked).toBeCloseTo(0.1 * DEGREE, 15);
    expect(panel?.laps).toEqual({
      way: "indexed",
      bundled: true,
      place: 0.04,
      width: 3.05,
      depth: 6,
      depthSd: 0.1,
    });
    const inches = load(
      "units: in\npattern: asanoha-square\nopening: 2\nstrip: 1/8\npanel: { rows: 1, columns: 1 }\n",
    );
    expect(inches.panel?.laps.width).toBeCloseTo(3.175, 12);
  });

  it.each([
    ["rows: 0, columns: 3", "panel.rows", "whole number"],
    ["rows: 3.5, columns: 3", "panel.rows", "whole number"],
    ["rows: 100, columns: 100", "panel.columns", "at most 2500"],
    ["rows: 3", "panel.columns", "missing"],
    ["rows: 3, columns: 3, laps: { width: 12 }", "panel.laps.width", "no strip of this job sits in it"],
    ["rows: 3, columns: 3, laps: { way: blade }", "panel.laps.way", "stop"],
    ["rows: 3, columns: 3, raked: 1", "panel.raked", "Did you mean racked?"],
    ["rows: 3, columns: 3, frame: { width: 200 }", "panel.frame.height", "missing"],
  ])("is refused with its place: %s", (panel, field, words) => {
    const faults = faultsOf(() => load(`${LEAST}panel: { ${panel} }\n`));
    const fault = faults.find((one) => one.field === field);
    expect(fault?.sentence).toContain(words);
    expect(fault?.line).toBe(4);
    expect(fault?.column).toBeGreaterThan(1);
  });

  const TRIANGLES = "pattern: asanoha-triangular\nopening: 60\nstrip: 3\n";

  it("of a three-way grid cannot rack, and has its cells laid one way", () => {
    const { panel } = load(`${TRIANGLES}panel: { rows: 2, columns: 5 }\n`);
    expect(panel).toMatchObject({ rows: 2, columns: 5, diagonals: null, racked: 0 });
  });

  it.each([
    ["racked: 0.05 deg", "panel.racked", "a three-way grid cannot rack"],
    ["diagonals: alternate", "panel.diagonals", "every second one stands on its point; leave the key out"],
  ])("of a three-way grid refuses what only an upright one has: %s", (key, field, words) => {
    const [fault, ...more] = faultsOf(() => load(`${TRIANGLES}panel: { rows: 2, columns: 5, ${key} }\n`));
    expect(more).toEqual([]);
    expect(fault).toMatchObject({ field, line: 4, example: "panel: { rows: 3, columns: 4 }" });
    expect(fault!.sentence).toContain(words);
  });
});
