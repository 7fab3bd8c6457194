import { describe, expect, it } from "vitest";
import { predictPanel } from "../../../src/features/panel/predict-panel.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { inFolder } from "../../io/in-folder.js";
import { threeWayShape, uprightShape } from "./support/panel-job.js";
import { hangingTriangles, leaningTriangles } from "./support/turned-triangles.js";

const jobOf = (pattern: string) =>
  loadJob(
    inFolder({
      "job.yaml": `pattern: ${pattern}\nopening: 60\nstrip: 3\npanel: { rows: 2, columns: 4, border: { thickness: 10 } }\n`,
    }),
  );

describe("a panel at nominal size", () => {
  it("adds up openings, strips and border, in each direction its own", () => {
    const { across, down, width, height } = uprightShape(jobOf("asanoha-rectangular"));
    // The usual height is three quarters of the opening.
    expect([across.clear, down.clear]).toEqual([4 * 60 + 3 * 3, 2 * 45 + 3]);
    expect([width, height]).toEqual([269, 113]);
    expect(across.strips).toEqual([-5, 61.5, 124.5, 187.5, 254]);
    expect(down.middles).toEqual([22.5, 70.5]);
  });

  it.each(["asanoha-rectangular", "diamond", "corner-cross"])("is reckoned for %s", async (pattern) => {
    const { places, closes } = await predictPanel(jobOf(pattern), { panels: 50, ways: false, budget: false });
    expect(places).toHaveLength(8);
    expect(closes.value).toBeGreaterThan(0);
  });

  it.each(["asanoha-triangular", "inner-triangle"])(
    "is reckoned for %s, its rows triangles",
    async (pattern) => {
      const job = jobOf(pattern);
      const shape = threeWayShape(job);
      // 60 mm and √3 · 3 mm from crossing to crossing; five half pitches across, two bands down.
      const pitch = 60 + 3 * Math.sqrt(3);
      expect(shape.width).toBeCloseTo(2.5 * pitch + 20, 9);
      expect(shape.height).toBeCloseTo(Math.sqrt(3) * pitch - 3 + 20, 9);
      const told = await predictPanel(job, { panels: 50 });
      expect(told.places).toHaveLength(8);
      expect(told.closes.value).toBeGreaterThan(0);
      expect(told.ways!.map(({ way }) => way)).toEqual(["as-cut", "sorted", "fitted"]);
      expect(told.budget!.sources.map(({ name }) => name)).toContain("places of the laps");
      expect(told.budget!.sources.map(({ name }) => name)).not.toContain("racked grid");
    },
  );

  it("of triangles neither racks nor lies another way, wherever it comes from", async () => {
    const job = jobOf("inner-triangle");
    const shape = threeWayShape({ ...job, panel: { ...job.panel!, racked: 0.01, diagonals: "parallel" } });
    expect(shape.panel).toMatchObject({ racked: 0, diagonals: null });
  });

  it("is the same whether a pattern's triangle stands or hangs: every second one is turned either way", async () => {
    const hanging = loadJob(inFolder(hangingTriangles()));
    const standing = loadJob(
      inFolder({
        "job.yaml": "pattern: inner-triangle\nopening: 60\nstrip: 4\npanel: { rows: 2, columns: 3 }\n",
      }),
    );
    const panels = { panels: 200, ways: false, budget: false, threads: 1 } as const;
    const [one, other] = [await predictPanel(hanging, panels), await predictPanel(standing, panels)];
    expect(one.refits.mean.value).toBeGreaterThan(0);
    expect(one.refits).toEqual(other.refits);
    for (const [k, { meanGap }] of one.places.entries())
      expect(meanGap).toBeCloseTo(other.places[k]!.meanGap, 8);
  });

  it("is refused where straight strips cannot leave such cells", async () => {
    const told = predictPanel(loadJob(inFolder(leaningTriangles())), { panels: 50 });
    await expect(told).rejects.toThrow(/equilateral triangles with one level wall.*turn this one so/);
  });
});
