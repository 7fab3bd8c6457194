import { expect, it } from "vitest";
import { planCuts } from "../../../src/features/cutlist/cut-list.js";
import { cutListHtml } from "../../../src/features/cutlist/cut-list-html.js";
import { lineDrawings } from "../../../src/features/cutlist/piece-drawing.js";
import { demoJob } from "../../inference/demo.js";

const LIST = planCuts(demoJob, { draws: 100 });
const DRAWN = lineDrawings(LIST).map(String);

/** Width of the outline of a piece, px. */
const across = (svg: string): number => {
  const xs = [...(/points="([^"]+)"/.exec(svg)?.[1] ?? "").matchAll(/([\d.]+),/g)].map(([, x]) => Number(x));
  return Math.max(...xs) - Math.min(...xs);
};

it("draws pieces to one scale, with the angles of their ends", () => {
  expect(DRAWN).toHaveLength(LIST.lines.length);
  const [diagonal = "", hinge = "", key = ""] = DRAWN;
  // √2 · 60 mm, and the other lengths that docs/cutlist.md works out by hand.
  expect(across(hinge) / across(diagonal)).toBeCloseTo(43.503 / (60 * Math.SQRT2), 3);
  expect(across(key) / across(diagonal)).toBeCloseTo(24.345 / (60 * Math.SQRT2), 3);
  expect(hinge).toMatch(/>67\.50°<.*>22\.50°</);
});

it("draws a strip with its laps where they are, and each drawing stands in the row of its line", () => {
  const at = LIST.lines.findIndex(({ name }) => name === "grid strip, upright");
  const laps = [...DRAWN[at]!.matchAll(/<line x1="([\d.]+)"/g)].map(([, x]) => (Number(x) - 1) / 172);
  expect(laps.length).toBe(4);
  for (const [k, share] of laps.entries()) expect(share).toBeCloseTo((62 + 64 * k) / 316, 3);
  const row = cutListHtml(LIST, "2000-01-01")
    .split("<tr>")
    .find((text) => text.includes("grid strip, upright"))!;
  expect(row).toContain(DRAWN[at]);
});
