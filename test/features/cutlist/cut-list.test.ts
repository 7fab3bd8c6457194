import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { planCuts, roughLength, setUpsFor } from "../../../src/features/cutlist/cut-list.js";
import { cutListNotes, lapTable } from "../../../src/features/cutlist/cut-list-contents.js";
import { scrapChance } from "../../../src/features/cutlist/spares.js";
import { forecastSources } from "../../../src/inference/forecast/forecast-sources.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { errorLayout, noErrors } from "../../../src/model/cell/cell-errors.js";
import { type Job, STOCK_DEFAULTS } from "../../../src/model/job/job.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import type { Panel } from "../../../src/model/job/panel.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { demoJob } from "../../inference/demo.js";
import { inFolder } from "../../io/in-folder.js";
import { longIt } from "../../tools/longer.js";
import { leaningTriangles } from "../panel/support/turned-triangles.js";

/** Of a panel all but its size. */
const PANEL: Omit<Panel, "rows" | "columns"> = {
  diagonals: "alternate",
  border: { thickness: 9, turn: 0 },
  laps: { way: "stop", bundled: true, place: 0.03, width: 4, depth: null, depthSd: 0.05 },
  gridStock: "same",
  racked: 0,
  measured: { pieces: 0.01, openings: 0.02 },
  frame: null,
};

describe("the chance that a piece is scrap", () => {
  const loose: Job = { ...demoJob, betweenCutSd: { angle: 0.02, length: 0.06, thickness: 0 } };

  longIt("is what the readable solver counts, cell by cell", () => {
    const cell = jobCell(loose);
    const { inputs, groups } = forecastSources(loose);
    const scatter = groups.filter(({ shared }) => !shared).flatMap((group) => group.draws);
    const { entries } = errorLayout(cell);
    const columns = scatter.filter((k) =>
      entries.some(({ owner }, row) => owner === "key-1" && inputs.matrix[row * inputs.draws + k] !== 0),
    );
    const stream = createStream(5);
    const draws = 300;
    let scrap = 0;
    for (let n = 0; n < draws; n++) {
      const drawn = stream.fill(new Float64Array(columns.length));
      const errors = noErrors(cell);
      for (const [at, k] of columns.entries())
        for (let row = 0; row < errors.length; row++)
          if (entries[row]!.owner === "key-1")
            errors[row]! += inputs.matrix[row * inputs.draws + k]! * drawn[at]!;
      if (predictCell(cell, errors, loose).widestGap > loose.limits.gap) scrap++;
    }
    expect(scrap).toBeGreaterThan(10);
    expect(scrapChance(loose, "key-1", draws, 5).value).toBeCloseTo(scrap / draws, 12);
  });

  it("falls to nothing where cuts do not scatter, and rises where they do", () => {
    const exact: Job = { ...demoJob, betweenCutSd: { angle: 0, length: 0, thickness: 0 } };
    expect(scrapChance(exact, "diagonal").value).toBe(0);
    expect(scrapChance(loose, "diagonal", 4000).value).toBeGreaterThan(
      scrapChance(demoJob, "diagonal", 4000).value,
    );
  });
});

const few = { draws: 500 };

describe("a cut list", () => {
  const panel = { rows: 2, columns: 3 };
  const job: Job = {
    ...demoJob,
    stock: { ...STOCK_DEFAULTS, lengths: [900], allowance: 4, mishaps: 0.05 },
  };

  it("counts pieces by the cell, the sum of its lines over the sticks", () => {
    const { cells, lines, packed, setUps, sure } = planCuts(job, few);
    const count = (name: string): number => lines.find((line) => line.name === name)!.needed;
    expect([count("diagonal"), count("hinge"), count("key")]).toEqual([cells, 4 * cells, 2 * cells]);
    const cut = packed.flatMap(({ packed: { plans } }) =>
      plans.flatMap(({ sticks, pieces }) =>
        pieces.map((piece) => ({ ...piece, count: piece.count * sticks })),
      ),
    );
    for (const { name, needed, spares, finished, rough } of lines) {
      const own = cut.filter((piece) => piece.name === name).reduce((sum, piece) => sum + piece.count, 0);
      expect(own).toBe(needed + spares);
      expect(rough).toBeGreaterThanOrEqual(finished + 4);
      expect(rough).toBeLessThan(finished + 5);
    }
    expect(sure).toBeGreaterThanOrEqual(0.95);
    // A point takes two passes, a bevel one; an end cut to a mark has no stop.
    const passes = Object.fromEntries(setUps.map((line) => [line.group, line.passes / line.pieces]));
    expect(passes).toMatchObject({ "diagonal.end": 2, "hinge.mitre": 1, "key.start": 2 });
    expect(setUps.find(({ group }) => group === "key.start")!.setting).toBeNull();
    const diagonal = jobCell(job).pieces[0]!;
    expect(setUps.find(({ group }) => group === "diagonal.end")!.setting).toBeCloseTo(diagonal.length, 9);
    expect(setUpsFor(job, ["key.end", "hinge.seat", "nothing"])).toEqual(["key-end", "hinge-seat"]);
  });

  it("adds the strips of the grid and the border of a panel", () => {
    const withPanel = { ...job, panel: { ...PANEL, ...panel } } as Job;
    const { cells, lines, packed } = planCuts(withPanel, few);
    expect(cells).toBe(6);
    const of = (name: string) => lines.find((line) => line.name === name)!;
    const clear = (n: number): number => n * job.opening + (n - 1) * job.strip;
    expect(of("grid strip, upright")).toMatchObject({ needed: 2, finished: clear(2), stock: "strips" });
    expect(of("grid strip, level")).toMatchObject({ needed: 1, finished: clear(3) });
    expect(of("border, level")).toMatchObject({ needed: 2, finished: clear(3) + 18, thickness: 9 });
    expect(packed.map(({ stock }) => stock)).toEqual(["strips", "border"]);
    const own = planCuts({ ...withPanel, panel: { ...withPanel.panel!, gridStock: "own" } }, few);
    expect(own.packed.map(({ stock }) => stock)).toEqual(["strips", "grid", "border"]);
  });

  it("tells where the laps are, and reckons no grid where no straight strips leave such cells", () => {
    const withPanel = { ...job, panel: { ...PANEL, ...panel } } as Job;
    const { laps, grid } = planCuts(withPanel, few);
    expect(grid).toBe(true);
    // Two rows: one lap in the middle of an upright strip; three columns: two laps a pitch apart.
    expect(laps.map(({ places }) => places)).toEqual([
      [job.opening + job.strip / 2],
      [job.opening + job.strip / 2, 2 * job.opening + 1.5 * job.strip],
    ]);
    const load = (pattern: string): Job =>
      loadJob(
        inFolder({
          "job.yaml": `pattern: ${pattern}\nopening: 60\nstrip: 4\npanel: { rows: 2, columns: 3 }\n`,
        }),
      );
    const flat = planCuts(load("asanoha-rectangular"), few);
    // Its cells are 60 wide and 45 high.
    expect(flat.lines.find(({ name }) => name === "grid strip, upright")!.finished).toBe(2 * 45 + 4);
    expect(flat.lines.find(({ name }) => name === "border, level")!.finished).toBe(3 * 60 + 2 * 4 + 2 * 4);
    const leaning = planCuts(loadJob(inFolder(leaningTriangles())), few);
    expect([leaning.grid, leaning.laps, leaning.lines.map(({ name }) => name)]).toEqual([
      false,
      [],
      ["side"],
    ]);
    expect(cutListNotes(leaning).join()).toContain("their grid and border are not in this list");
  });

  it("tells strips of a three-way grid that are not cut alike apart, and cuts them in layers", () => {
    const panel = "{ rows: 4, columns: 5, laps: { depth: 6 mm } }";
    const triangles = loadJob(
      inFolder({ "job.yaml": `pattern: inner-triangle\nopening: 60\nstrip: 4\npanel: ${panel}\n` }),
    );
    const list = planCuts(triangles, few);
    const own = list.lines.filter(({ name }) => name.startsWith("grid"));
    // Three level strips, of which the middle one has its laps elsewhere; falling ones from (0, 0) and (0, 2) down to the lower member, (0, 4) to the right one, and from the left one: two lengths.
    expect(own.map(({ name, needed }) => [name, needed])).toEqual([
      ["grid strip, level 1", 2],
      ["grid strip, level 2", 1],
      ["grid strip, falling 1", 2],
      ["grid strip, falling 2", 1],
      ["grid strip, falling 3", 1],
      ["grid strip, rising 1", 2],
      ["grid strip, rising 2", 1],
      ["grid strip, rising 3", 1],
    ]);
    expect(list.halves).toBe(8);
    const depths = lapTable(list).rows.map(([name, , depth]) => `${name}: ${depth}`);
    expect(depths).toContain("grid strip, level 1: 12.00 mm, from the front");
    expect(depths).toContain("grid strip, falling 1: 6.00 mm, from the front and from the back");
    expect(depths).toContain("grid strip, rising 1: 12.00 mm, from the back");
    expect(cutListNotes(list).join()).toContain("The border cuts 8 more in half");
  });

  it("tells how deep a lap is where the job tells how far the strips run through the panel", () => {
    const deep: Job = { ...demoJob, depth: 13, panel: { ...PANEL, rows: 2, columns: 2 } };
    const depths = (job: Job): string[] => lapTable(planCuts(job)).rows.map(([, , depth]) => depth!);
    expect(new Set(depths(deep))).toEqual(new Set(["6.50 mm"]));
    const { depth: _, ...flat } = deep;
    expect(new Set(depths(flat))).toEqual(new Set(["half the strip's"]));
    const stated = { ...deep.panel!, laps: { ...PANEL.laps, depth: 6 } };
    expect(new Set(depths({ ...deep, panel: stated }))).toEqual(new Set(["6.00 mm"]));
  });

  it("rounds rough lengths up to marks", () => {
    expect(roughLength(48.0001, "mm")).toBe(49);
    expect(roughLength(48, "mm")).toBe(48);
    expect(roughLength(25.4 * 2.01, "in")).toBeCloseTo(25.4 * (2 + 1 / 16), 12);
  });
});
