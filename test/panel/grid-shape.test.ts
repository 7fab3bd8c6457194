import { describe, expect, it } from "vitest";
import { loadJob } from "../../src/job/load-job.js";
import { gridShape } from "../../src/panel/grid-shape.js";
import { predictPanel } from "../../src/panel/predict-panel.js";
import { inFolder } from "../job/in-folder.js";

const jobOf = (pattern: string) =>
  loadJob(
    inFolder({
      "job.yaml": `pattern: ${pattern}\nopening: 60\nstrip: 3\npanel: { rows: 2, columns: 4, border: { thickness: 10 } }\n`,
    }),
  );

describe("a panel at nominal size", () => {
  it("adds up openings, strips and border, in each direction its own", () => {
    const { across, down, width, height } = gridShape(jobOf("asanoha-rectangular"));
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

  it("is refused where cells are no rectangles", async () => {
    const told = predictPanel(jobOf("asanoha-triangular"), { panels: 50 });
    await expect(told).rejects.toThrow(/four walls at right angles.*they have wall-/);
  });
});
