import { describe, expect, it } from "vitest";
import { dot, type Vec } from "../../../src/core/geometry.js";
import { leastSquares } from "../../../src/core/numeric/least-squares.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { placeCovariance } from "../../../src/features/panel/grid-shape.js";
import {
  closingDeviation,
  drawPlay,
  sideError,
  ThreeWayErrors,
  triangleWalls,
} from "../../../src/features/panel/three-way-errors.js";
import { ALONG, ASIDE, FAMILIES } from "../../../src/model/cell/three-way-grid.js";
import { PERFECT_GRID, threeWayShape, trianglesWith } from "./support/panel-job.js";

const PLACE = 0.03;
const GRIDS = 20_000;
const ROOT = Math.sqrt(3);

const shapeOf = (laps: { way?: "stop" | "indexed"; bundled?: boolean; width?: number }) =>
  threeWayShape(trianglesWith({ rows: 3, columns: 6 }, { place: PLACE, ...laps }));

/** A crossing within the border, by line and half pitch. */
const [P, Q] = [
  { line: 1, half: 3 },
  { line: 2, half: 4 },
];

/** The six notches of a crossing, each with the strip it is cut in and the strip it holds. */
const NOTCHES = [0, 1, 2].flatMap((own) =>
  [0, 1, 2].filter((k) => k !== own).map((held) => [own, held] as const),
);

/** How far each strip is from the middle of each notch that holds it, mm: notch n lies `off[n]` along its strip, strip k stands `aside[k]`. */
const misfits = (off: readonly number[], aside: ArrayLike<number>): number[] =>
  NOTCHES.map(([own, held], n) => {
    const [along, away] = [ALONG[FAMILIES[own]!], ASIDE[FAMILIES[own]!]];
    const middle: Vec = {
      x: off[n]! * along.x + aside[own]! * away.x,
      y: off[n]! * along.y + aside[own]! * away.y,
    };
    return aside[held]! - dot(middle, ASIDE[FAMILIES[held]!]);
  });

/** Sum of their squares where both notches of a strip are off alike. */
const misfit = (laps: readonly number[], aside: readonly number[]): number =>
  misfits(
    NOTCHES.map(([own]) => laps[own]!),
    aside,
  ).reduce((sum, gap) => sum + gap ** 2, 0);

describe("a crossing of three strips", () => {
  it("comes to rest where nothing moved either way would suit its six laps better", () => {
    const grid = new ThreeWayErrors(shapeOf({}));
    grid.draw(createStream(4), { ...PERFECT_GRID, place: PLACE }, 0);
    const at = 3 * grid.at(P);
    const [laps, aside] = [[...grid.laps.subarray(at, at + 3)], [...grid.aside.subarray(at, at + 3)]];
    const least = misfit(laps, aside);
    expect(least).toBeGreaterThan(1e-7);
    // Every strip by itself, and all pairs and all three together, by steps down to a millionth of a mm: the sum is convex, so that no better place lies further off.
    for (const step of [1e-2, 1e-4, 1e-6])
      for (let move = 0; move < 27; move++) {
        const moved = aside.map((v, k) => v + step * ((Math.floor(move / 3 ** k) % 3) - 1));
        expect(misfit(laps, moved)).toBeGreaterThanOrEqual(least - 1e-18);
      }
    // Though each strip was free to go by itself, the three run through one point.
    const [level, falling, rising] = aside;
    expect(level! - falling! + rising!).toBeCloseTo(0, 15);
    // Each lap gives way by a third of what the three disagree by.
    const third = grid.closing(grid.at(P)) / 3;
    expect(least).toBeCloseTo(6 * ((third * ROOT) / 2) ** 2, 15);
  });

  it("would be less far off if the two notches of a strip were off each by itself: 7/18 of σ² aside against 2/3", () => {
    const aside = (off: readonly number[]): number =>
      leastSquares({ residuals: (at) => misfits(off, at), start: [0, 0, 0] }).x[0]!;
    // The answer is linear in the notches: the variance is the sum of the squares of what one mm of each does.
    const each = NOTCHES.map((_, n) => aside(NOTCHES.map((__, k) => (k === n ? 1 : 0))));
    const both = [0, 1, 2].map((own) => aside(NOTCHES.map(([of]) => (of === own ? 1 : 0))));
    const variance = (slopes: readonly number[]): number =>
      slopes.reduce((sum, slope) => sum + slope ** 2, 0);
    expect(variance(each)).toBeCloseTo(7 / 18, 6);
    expect(variance(both)).toBeCloseTo(2 / 3, 6);
  });

  it("of laps that agree is where they say", () => {
    const grid = new ThreeWayErrors(shapeOf({}));
    const point = { x: 0.03, y: -0.02 };
    const at = grid.at(P);
    for (const [k, family] of FAMILIES.entries()) grid.laps[3 * at + k] = dot(point, ALONG[family]);
    grid.solveEquilibrium();
    expect(grid.closing(at)).toBeCloseTo(0, 15);
    for (const [k, family] of FAMILIES.entries())
      expect(grid.aside[3 * at + k]).toBeCloseTo(dot(point, ASIDE[family]), 15);
  });

  it("cannot rack: with laps where they belong nothing moves, and a panel sheared would need laps that are off more and more", () => {
    const grid = new ThreeWayErrors(shapeOf({}));
    grid.draw(createStream(1), PERFECT_GRID, 0);
    expect(grid.aside.every((v) => v === 0)).toBe(true);
    // Sheared by φ: every point goes to the right by φ times its height. Along a slant a pitch is then off by φ·√3/4 of it, the same sign at every one.
    const [shear, pitch] = [0.001, grid.shape.grid.pitch];
    const along = (line: number): number => {
      const moved = { x: -shear * line * grid.shape.grid.band, y: 0 };
      return dot(moved, ALONG.falling);
    };
    expect(along(1)).toBeCloseTo((-shear * pitch * ROOT) / 4, 12);
    expect(along(3)).toBeCloseTo(3 * along(1), 12);
  });
});

/** Of two crossings, how far a family's strip stands aside there. */
function covariances(way: "stop" | "indexed", bundled: boolean) {
  const grid = new ThreeWayErrors(shapeOf({ way, bundled }));
  const stream = createStream(7);
  const places = [P, Q, { line: 1, half: 5 }].map((crossing) => 3 * grid.at(crossing));
  const sums = new Float64Array(81);
  for (let n = 0; n < GRIDS; n++) {
    grid.draw(stream, { ...PERFECT_GRID, place: PLACE }, 0);
    const seen = places.flatMap((at) => [0, 1, 2].map((k) => grid.aside[at + k]!));
    for (const [a, one] of seen.entries())
      for (const [b, other] of seen.entries()) sums[9 * a + b]! += (one * other) / GRIDS;
  }
  return sums;
}

/** Number of the lap by strip of each family at P, Q and the crossing beside P on its level strip, counted by hand on a drawing of 3 rows and 6 columns (half pitches 0 … 7), and which strips they are. */
const COUNTED = [
  { level: [2, 1], falling: [1, 2], rising: [1, 4] },
  { level: [2, 2], falling: [2, 2], rising: [2, 6] },
  { level: [3, 1], falling: [1, 4], rising: [1, 6] },
] as const;

/** By hand: a level strip stands aside by −(falling + rising)/√3, a falling one by (level − rising)/√3, a rising one by (level + falling)/√3. */
const BY_LAPS = [
  [0, -1, -1],
  [1, 0, -1],
  [1, 1, 0],
] as const;

function closedForm(
  laps: { way: "stop" | "indexed"; place: number },
  bundled: boolean,
  a: number,
  b: number,
): number {
  const [one, other] = [COUNTED[Math.floor(a / 3)]!, COUNTED[Math.floor(b / 3)]!];
  return FAMILIES.reduce((sum, family, k) => {
    const [[lap, strip], [otherLap, otherStrip]] = [one[family], other[family]];
    if (!bundled && strip !== otherStrip) return sum;
    const both = BY_LAPS[a % 3]![k]! * BY_LAPS[b % 3]![k]!;
    return sum + (both / 3) * placeCovariance(laps, lap, otherLap);
  }, 0);
}

describe("crossings of a three-way grid", () => {
  it.each([
    ["stop", false],
    ["stop", true],
    ["indexed", false],
    ["indexed", true],
  ] as const)("scatter together as the closed forms say: %s, bundled %s", (way, bundled) => {
    const drawn = covariances(way, bundled);
    const own = { way, place: PLACE };
    const other = { way: way === "stop" ? "indexed" : "stop", place: PLACE } as const;
    let [missed, missedBundle] = [0, 0];
    for (let a = 0; a < 9; a++)
      for (let b = 0; b < 9; b++) {
        const form = (laps: typeof own, all: boolean): number => closedForm(laps, all, a, b);
        // A covariance from n normal pairs scatters by √((σ_a²σ_b² + cov²)/n); five of those.
        const width =
          5 *
          Math.sqrt(
            (closedForm(own, bundled, a, a) * closedForm(own, bundled, b, b) + form(own, bundled) ** 2) /
              GRIDS,
          );
        expect(Math.abs(drawn[9 * a + b]! - form(own, bundled))).toBeLessThan(width);
        if (Math.abs(drawn[9 * a + b]! - form(other, bundled)) > width) missed++;
        if (Math.abs(drawn[9 * a + b]! - form(own, !bundled)) > width) missedBundle++;
      }
    // The negative controls: neither the other way's forms pass, nor those of laps cut the other way.
    expect(missed).toBeGreaterThan(9);
    expect(missedBundle).toBeGreaterThan(9);
  });

  it("disagree by √3·σ against a stop, and most where the numbers of their laps are largest when indexed", () => {
    expect(closingDeviation(shapeOf({ way: "stop" }))).toBeCloseTo(ROOT * PLACE, 12);
    // Of 3 rows and 6 columns: the crossings on line 2 at the half pitches 2, 4 and 6, of which two have the laps 1 + 2 + 2, 2 + 2 + 2 and 3 + 2 + 1.
    expect(closingDeviation(shapeOf({ way: "indexed" }))).toBeCloseTo(Math.sqrt(6) * PLACE, 12);
    expect(closingDeviation(threeWayShape(trianglesWith({ rows: 1, columns: 4 })))).toBe(0);
  });

  it("have strips within their laps, all six at once, however the play is used", () => {
    const play = 0.12;
    const shape = shapeOf({ width: 4 + play });
    const grid = new ThreeWayErrors(shape);
    const stream = createStream(11);
    const at = 3 * grid.at(P);
    let [widest, crossings] = [0, 0];
    for (let n = 0; n < 20_000; n++) {
      grid.draw(stream, { ...PERFECT_GRID, place: 0.01, play: 1 }, 0);
      if (grid.tight > 0) continue;
      crossings++;
      const laps = [...grid.laps.subarray(at, at + 3)];
      for (const [s, own] of FAMILIES.entries())
        for (const [t, other] of FAMILIES.entries()) {
          if (s === t) continue;
          const lap = {
            x: laps[s]! * ALONG[own].x + grid.aside[at + s]! * ASIDE[own].x,
            y: laps[s]! * ALONG[own].y + grid.aside[at + s]! * ASIDE[own].y,
          };
          widest = Math.max(widest, Math.abs(grid.aside[at + t]! - dot(lap, ASIDE[other])));
        }
    }
    expect(crossings).toBeGreaterThan(10_000);
    expect(widest).toBeLessThanOrEqual(play / 2 + 1e-12);
    expect(widest).toBeGreaterThan(0.45 * play);
  });

  it("have strips that use their play nearly as if all places in the laps were equally likely", () => {
    const stream = createStream(12);
    const own = new Float64Array(3);
    const cosine = (s: number, t: number): number => dot(ASIDE[FAMILIES[s]!], ASIDE[FAMILIES[t]!]);
    const fits = (at: ArrayLike<number>): boolean =>
      [0, 1, 2].every((s) =>
        [0, 1, 2].every((t) => s === t || Math.abs(at[t]! - cosine(s, t) * at[s]!) <= 0.5 + 1e-12),
      );
    let [drawn, even, kept, furthest] = [0, 0, 0, 0];
    const draws = 40_000;
    for (let n = 0; n < draws; n++) {
      drawPlay(stream, own);
      if (!fits(own)) throw new Error("A strip lies beyond its lap.");
      drawn += own.reduce((sum, v) => sum + v * v, 0) / 3 / draws;
      // By rejection from a cube that is surely large enough.
      const any = own.map(() => 2 * (stream.uniform() - 0.5));
      if (!fits(any)) continue;
      kept++;
      even += any.reduce((sum, v) => sum + v * v, 0) / 3;
      furthest = Math.max(furthest, ...any.map(Math.abs));
    }
    expect(kept).toBeGreaterThan(2000);
    expect(furthest).toBeLessThan(2 / 3);
    const ratio = Math.sqrt(drawn / (even / kept));
    expect(ratio).toBeGreaterThan(0.9);
    expect(ratio).toBeLessThan(1);
    expect(Math.sqrt(drawn)).toBeCloseTo(0.24, 2);
  });

  it("would be twice as far off if the strips were laid in order and the first two laps decided alone", () => {
    const grid = new ThreeWayErrors(shapeOf({}));
    const stream = createStream(13);
    const at = 3 * grid.at(P);
    let [balanced, inOrder] = [0, 0];
    for (let n = 0; n < 20_000; n++) {
      grid.draw(stream, { ...PERFECT_GRID, place: PLACE }, 0);
      const [level, falling] = [grid.laps[at]!, grid.laps[at + 1]!];
      // Where the level strip's lap and the falling one's put it: x = level, x/2 − y·√3/2 = falling.
      inOrder += level ** 2 + ((level / 2 - falling) / (ROOT / 2)) ** 2;
      const [v, w] = [grid.aside[at]!, grid.aside[at + 1]!];
      balanced += v ** 2 + ((w - v / 2) / (ROOT / 2)) ** 2;
    }
    // 8/3 of σ² against 4/3, by the law of propagation; a ratio of variances from so many is good to 3 % at five standard errors or better.
    expect(Math.abs(inOrder / balanced / 2 - 1)).toBeLessThan(0.05);
    expect(Math.abs(balanced / 20_000 / PLACE ** 2 / (4 / 3) - 1)).toBeLessThan(0.05);
  });

  it("may slide lengthwise as whole strips without changing any opening", () => {
    const grid = new ThreeWayErrors(shapeOf({ way: "indexed" }));
    const stream = createStream(14);
    grid.draw(stream, { ...PERFECT_GRID, place: PLACE }, 0);
    const walls = new Float64Array(6);
    // Row 1 (0 first), column 2: its crossings lie at (2, 2), (2, 4) and (1, 3), all within the border.
    const side = (): number => {
      triangleWalls(grid, 1, 2, walls);
      return sideError(walls);
    };
    const [before, turns] = [side(), [walls[0], walls[2], walls[4]]];
    for (const { family, crossings } of grid.shape.grid.lines) {
      const slide = stream.normal();
      for (const crossing of crossings) grid.laps[3 * grid.at(crossing) + FAMILIES.indexOf(family)]! += slide;
    }
    grid.solveEquilibrium();
    expect(side()).toBeCloseTo(before, 12);
    expect([walls[0], walls[2], walls[4]]).not.toEqual(turns);
  });

  it("at the border stand where its laps have them: the upper and left members first, the lower one straight between its ends", () => {
    const shape = shapeOf({});
    const grid = new ThreeWayErrors(shape);
    grid.draw(createStream(3), { ...PERFECT_GRID, place: PLACE }, 0);
    const aside = (line: number, half: number) => {
      const at = 3 * grid.at({ line, half });
      return [...grid.aside.subarray(at, at + 3)];
    };
    expect(aside(0, 4)[0]).toBe(0);
    const [start, middle, end] = [aside(3, 1)[0]!, aside(3, 3)[0]!, aside(3, 5)[0]!];
    expect(start).not.toBe(end);
    expect(middle).toBeCloseTo((start + end) / 2, 12);
    // A slant at the upper member goes along with its lap to the right; its normal has √3/2 of that.
    expect(aside(0, 4)[1]).toBeCloseTo((grid.laps[3 * grid.at({ line: 0, half: 4 })]! * ROOT) / 2, 12);
    expect(aside(0, 4)[2]).toBeCloseTo(aside(0, 4)[1]!, 12);
    // A level strip's end at the left member goes down with its lap.
    expect(aside(2, 0)[0]).toBeCloseTo(-grid.left[2]!, 12);
  });
});
