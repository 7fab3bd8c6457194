import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { newJob } from "../../../src/features/new/new-job.js";
import { panelDrawing } from "../../../src/features/panel/panel-drawing.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import type { Drawing } from "../../../src/render/svg.js";
import { inFolder } from "../../io/in-folder.js";
import { elementsWith, writtenIn } from "../../render/svg-elements.js";

function panelJob(pattern: string, units: "mm" | "in" = "mm") {
  const folder = join(inFolder({}), pattern);
  const [file = ""] = newJob(folder, units, pattern);
  writeFileSync(file, readFileSync(file, "utf8").replace("# panel:", "panel:"));
  return loadJob(folder);
}

type Corner = readonly [x: number, y: number];
const outlines = (drawing: Drawing, name: string): Corner[][] =>
  elementsWith(drawing, "path", "data-name", name)[0]!
    .attributes.d!.split("Z")
    .filter((one) => one !== "")
    .map((one) =>
      one
        .slice(1)
        .split("L")
        .map((pair) => pair.split(",").map(Number) as unknown as Corner),
    );
const middle = (corners: readonly Corner[]): Corner => [
  corners.reduce((sum, [x]) => sum + x, 0) / corners.length,
  corners.reduce((sum, [, y]) => sum + y, 0) / corners.length,
];
/** Whether a point lies in a convex outline, or no further outside than a px' tenth. */
function inside([x, y]: Corner, outline: readonly Corner[]): boolean {
  const [cx, cy] = middle(outline);
  return outline.every(([ax, ay], i) => {
    const [bx, by] = outline[(i + 1) % outline.length]!;
    const side = (px: number, py: number): number => (bx - ax) * (py - ay) - (by - ay) * (px - ax);
    return side(x, y) * Math.sign(side(cx, cy)) > -0.1 * Math.hypot(bx - ax, by - ay);
  });
}

describe.each(["asanoha-square", "asanoha-rectangular", "asanoha-triangular", "corner-cross"])(
  "the whole panel of %s",
  (pattern) => {
    const job = panelJob(pattern);
    const drawing = panelDrawing(job, { width: 640 });
    const [openings, pieces] = [outlines(drawing, "openings"), outlines(drawing, "pieces")];

    it("has every cell and all its pieces, each within its own opening", () => {
      const each = job.arrangement.pieces.length;
      expect(openings).toHaveLength(12);
      expect(pieces).toHaveLength(12 * each);
      for (const [i, corners] of pieces.entries()) {
        const own = openings[Math.floor(i / each)]!;
        for (const corner of corners) expect(inside(corner, own)).toBe(true);
        // A control: it does not lie in the next cell's.
        const other = openings[(Math.floor(i / each) + 1) % openings.length]!;
        expect(corners.every((corner) => inside(corner, other))).toBe(false);
      }
    });

    it("keeps openings a strip apart", () => {
      const px = Math.min(
        ...openings.flatMap((a, i) =>
          openings
            .slice(0, i)
            .map((b) => Math.hypot(middle(a)[0] - middle(b)[0], middle(a)[1] - middle(b)[1])),
        ),
      );
      expect(px).toBeGreaterThan(0);
      for (const [i, a] of openings.entries())
        for (const b of openings.slice(0, i)) for (const corner of a) expect(inside(corner, b)).toBe(false);
    });
  },
);

describe("the whole panel", () => {
  it("mirrors every second cell, and none where all lie alike", () => {
    const job = panelJob("asanoha-square");
    const first = (drawing: Drawing, cell: number): number => {
      const piece = outlines(drawing, "pieces")[cell * job.arrangement.pieces.length + 1]!;
      return middle(piece)[0] - middle(outlines(drawing, "openings")[cell]!)[0];
    };
    const stars = panelDrawing(job);
    expect(first(stars, 1)).toBeCloseTo(-first(stars, 0), 1);
    const parallel = panelDrawing({ ...job, panel: { ...job.panel!, diagonals: "parallel" } });
    expect(first(parallel, 1)).toBeCloseTo(first(parallel, 0), 1);
  });

  it("is measured in the job's units", () => {
    const words = writtenIn(panelDrawing(panelJob("asanoha-square", "in"))).join(" ");
    expect(words).toMatch(/ in\b/);
    expect(words).not.toMatch(/\d mm/);
  });
});
