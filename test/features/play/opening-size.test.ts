import { describe, expect, it } from "vitest";
import { PATTERN_SIZES, patternBook } from "../../../src/features/explain/pattern-book.js";
import { starterJob } from "../../../src/features/new/index.js";
import { jobToPlay } from "../../../src/features/play/live-page.js";
import { play, playCell } from "../../../src/features/play/play-cell.js";
import { slidersOf } from "../../../src/features/play/play-job.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { shippedPattern, shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import type { Cell } from "../../../src/model/cell/cell.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import type { Job } from "../../../src/model/job/job.js";
import { inFolder } from "../../io/in-folder.js";

const started = (pattern: string): Job =>
  loadJob(inFolder({ ...starterJob("invented", "mm", shippedPattern(pattern)) }));

/**
 * Length of the first wall's side between its neighbours, with every wall moved into the opening by its error: the corners are where the moved lines cross. Worked out
 * from the lines alone.
 */
function clearSide({ walls }: Cell, inward: (wall: string) => number): number {
  const lines = walls
    .map(({ name, middle, normal }) => {
      const n = [Math.cos(normal), Math.sin(normal)] as const;
      return { normal, n, c: middle.x * n[0] + middle.y * n[1] + inward(name) };
    })
    .sort((a, b) => a.normal - b.normal);
  const corner = (a: (typeof lines)[number], b: (typeof lines)[number]): [number, number] => {
    const det = a.n[0] * b.n[1] - a.n[1] * b.n[0];
    return [(a.c * b.n[1] - b.c * a.n[1]) / det, (a.n[0] * b.c - b.n[0] * a.c) / det];
  };
  const [before, own, after] = [lines.at(-1)!, lines[0]!, lines[1]!];
  const [p, q] = [corner(before, own), corner(own, after)];
  return Math.hypot(p[0] - q[0], p[1] - q[1]);
}

describe.each(shippedPatterns())("an opening that is too small, %s", (pattern) => {
  const job = started(pattern);
  const playing = jobToPlay(job);
  const { cell } = playCell(playing);
  const { indexOf } = errorLayout(cell);
  const shrunkBy = (errors: ArrayLike<number>): number =>
    clearSide(cell, () => 0) - clearSide(cell, (wall) => errors[indexOf("offset", wall)] ?? 0);

  it("has a clear side smaller by what the page says, not by twice that", () => {
    const sliders = slidersOf(playing);
    const { errors } = play(
      playCell(playing),
      sliders.map(({ id }) => (id === "opening" ? 0.3 : 0)),
    );
    expect(shrunkBy(errors)).toBeCloseTo(0.3, 9);
  });

  it("has a clear side smaller by what the pattern book says", () => {
    const [page] = patternBook(job).filter(({ name }) => name === "opening-small");
    expect(page!.title).toContain("Clear side of the opening 0.200 mm too small");
    expect(shrunkBy(page!.errors)).toBeCloseTo(PATTERN_SIZES.opening, 9);
  });
});
