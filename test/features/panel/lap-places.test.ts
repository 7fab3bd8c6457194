import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { GridErrors } from "../../../src/features/panel/grid-errors.js";
import { lengthDeviation, pitchCovariance, placeCovariance } from "../../../src/features/panel/grid-shape.js";
import { PERFECT_GRID, panelJob, uprightShape } from "./support/panel-job.js";

const COLUMNS = 6;
const PLACE = 0.03;
const GRIDS = 20_000;

/** Covariances of the pitches between the laps of the first rail over many grids; pitch c lies between lap c and c + 1. */
function pitches(way: "stop" | "indexed", bundled: boolean): number[][] {
  const { laps } = panelJob().panel!;
  const grid = new GridErrors(
    uprightShape(panelJob({ columns: COLUMNS, laps: { ...laps, way, bundled, place: PLACE } })),
  );
  const stream = createStream(7);
  const sums = Array.from({ length: COLUMNS }, () => new Array<number>(COLUMNS).fill(0));
  for (let k = 0; k < GRIDS; k++) {
    grid.draw(stream, { ...PERFECT_GRID, place: PLACE }, 0);
    const pitch = Array.from({ length: COLUMNS }, (_, c) => grid.upright[c + 1]! - grid.upright[c]!);
    for (const [c, own] of pitch.entries())
      for (const [d, other] of pitch.entries()) sums[c]![d]! += (own * other) / GRIDS;
  }
  return sums;
}

/** A covariance from n normal pairs scatters by √((σ_c²σ_d² + cov²)/n); five of those are met in all but one of two million cases. */
const width = (laps: { way: "stop" | "indexed"; place: number }, c: number, d: number): number =>
  5 *
  Math.sqrt(
    (pitchCovariance(laps, c, c) * pitchCovariance(laps, d, d) + pitchCovariance(laps, c, d) ** 2) / GRIDS,
  );

const every = Array.from({ length: COLUMNS }, (_, c) => c);

describe("pitches of a strip's laps", () => {
  it.each([
    ["stop", false],
    ["stop", true],
    ["indexed", false],
    ["indexed", true],
  ] as const)("scatter together as the closed forms say: %s, bundled %s", (way, bundled) => {
    const drawn = pitches(way, bundled);
    const laps = { way, place: PLACE };
    const other = { way: way === "stop" ? "indexed" : "stop", place: PLACE } as const;
    let missed = 0;
    for (const c of every)
      for (const d of every) {
        expect(Math.abs(drawn[c]![d]! - pitchCovariance(laps, c, d))).toBeLessThan(width(laps, c, d));
        if (Math.abs(drawn[c]![d]! - pitchCovariance(other, c, d)) > width(other, c, d)) missed++;
      }
    // The negative control: the other way's forms do not pass.
    expect(missed).toBeGreaterThan(COLUMNS);
  });

  it("have the closed forms by hand", () => {
    const [stop, indexed] = (["stop", "indexed"] as const).map((way) => ({ way, place: 2 }));
    expect(every.map((d) => pitchCovariance(stop!, 2, d))).toEqual([0, -4, 8, -4, 0, 0]);
    expect(every.map((d) => pitchCovariance(stop!, 0, d))).toEqual([4, -4, 0, 0, 0, 0]);
    expect(every.map((d) => pitchCovariance(indexed!, 2, d))).toEqual([0, 0, 4, 0, 0, 0]);
    expect(placeCovariance(indexed!, 3, 5)).toBe(12);
    expect([1, 4, 9].map((n) => lengthDeviation(indexed!, n))).toEqual([2, 4, 6]);
    expect([1, 4, 9].map((n) => lengthDeviation(stop!, n))).toEqual([2, 2, 2]);
  });
});
