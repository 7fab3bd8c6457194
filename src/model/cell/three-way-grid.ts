import { type Vec, vec } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";

const HEIGHT = Math.sqrt(3) / 2;

/** The three directions of strips. Positions on level strips are measured from the left. Falling strips fall to the right and rising strips rise to the right; positions on both are measured from above. */
export const FAMILIES = ["level", "falling", "rising"] as const;
export type Family = (typeof FAMILIES)[number];

/** Direction of a strip of each family from its start, with y upwards. */
export const ALONG: Readonly<Record<Family, Vec>> = {
  level: vec(1, 0),
  falling: vec(0.5, -HEIGHT),
  rising: vec(-0.5, -HEIGHT),
};
/** {@link ALONG} turned by +90°: the positive direction of a strip's sideways displacement. */
export const ASIDE: Readonly<Record<Family, Vec>> = {
  level: vec(0, 1),
  falling: vec(HEIGHT, 0.5),
  rising: vec(HEIGHT, -0.5),
};

/** A place where three strips cross, or where strips end at the border. */
export interface Crossing {
  /** Row line from the top, 0 the upper member, and half pitches from the left member; their sum is even. */
  readonly line: number;
  readonly half: number;
}

/** A strip, or the inner edge of a level border member, given by the crossings it runs through in order; a strip's laps are measured from the first one. */
export interface GridLine {
  readonly family: Family;
  readonly border: boolean;
  readonly crossings: readonly Crossing[];
}

/** A three-way grid in an upright border: `rows` bands, each of `columns` whole triangles between two half triangles cut by the upright members; lengths in mm. */
export interface ThreeWayGrid {
  readonly rows: number;
  readonly columns: number;
  readonly strip: number;
  /** From crossing to crossing along a strip: the opening's side plus √3 strip thicknesses. */
  readonly pitch: number;
  /** From level strip to level strip. */
  readonly band: number;
  /** Between the inner faces of the border. */
  readonly clear: { readonly width: number; readonly height: number };
  /** Openings that the upright members cut in half. */
  readonly halves: number;
  readonly lines: readonly GridLine[];
}

/**
 * A three-way grid at nominal size. A triangle of middle lines with side a, inset by half a strip, leaves an opening with side a − √3·t.
 * The upright members' inner faces run through the outermost crossings and halve the triangles there; a level member's inner face lies where a strip's would.
 *
 * @param side clear side of an opening, mm
 */
export function threeWayGrid(rows: number, columns: number, side: number, strip: number): ThreeWayGrid {
  const pitch = side + Math.sqrt(3) * strip;
  const band = pitch * HEIGHT;
  const last = columns + 1;
  const level = Array.from({ length: rows + 1 }, (_, line): GridLine => {
    const first = line % 2;
    const crossings = Array.from({ length: Math.floor((last - first) / 2) + 1 }, (_, k) => ({
      line,
      half: first + 2 * k,
    }));
    return { family: "level", border: line === 0 || line === rows, crossings };
  });
  const slants = (family: "falling" | "rising"): GridLine[] => {
    const step = family === "falling" ? 1 : -1;
    const starts = level
      .flatMap(({ crossings }) => crossings)
      .filter(({ line, half }) => line === 0 || half === (family === "falling" ? 0 : last));
    return starts.flatMap((start): GridLine[] => {
      const length = Math.min(rows - start.line, family === "falling" ? last - start.half : start.half);
      // No slanting strip where it would only touch a corner.
      if (length === 0) return [];
      const crossings = Array.from({ length: length + 1 }, (_, k) => ({
        line: start.line + k,
        half: start.half + step * k,
      }));
      return [{ family, border: false, crossings }];
    });
  };
  return {
    rows,
    columns,
    strip,
    pitch,
    band,
    clear: { width: (last * pitch) / 2, height: rows * band - strip },
    halves: 2 * rows,
    lines: [...level, ...slants("falling"), ...slants("rising")],
  };
}

/** Whether a crossing lies at the border, where strips end, rather than inside the grid. */
export const atBorder = ({ rows, columns }: ThreeWayGrid, { line, half }: Crossing): boolean =>
  line === 0 || line === rows || half === 0 || half === columns + 1;

/** Whether the cell at a row and a column (from 0) stands on its level side. */
export const pointsUp = (row: number, column: number): boolean => (row + column) % 2 === 1;

/** Strips of a three-way grid that are cut alike; lengths mm. */
interface GridStrip {
  readonly family: Family;
  readonly count: number;
  /** From border to border, along the middle line. */
  readonly middle: number;
  /** Tip to tip: a slant's ends are cut along the border. */
  readonly tips: number;
  /** Middle of each lap from the tip of the strip's start. */
  readonly laps: readonly number[];
}

/** What each end adds to the length of a slanting strip's middle line, in strip thicknesses: half the cotangent of its angle to the border, which is 60° at a level member and 30° at an upright one. */
const TIP = { level: 1 / (2 * Math.sqrt(3)), upright: Math.sqrt(3) / 2 } as const;
/** Lengths count as equal within this, mm. */
const SAME = 1e-6;

/** The strips of a grid between the borders, grouped by those cut alike: level, falling, then rising, the longest first. */
export function gridStrips(grid: ThreeWayGrid): GridStrip[] {
  const found: (GridStrip & { count: number })[] = [];
  for (const line of grid.lines.filter(({ border }) => !border)) {
    const strip = stripOf(grid, line);
    const alike = found.find(
      (one) =>
        one.family === strip.family &&
        Math.abs(one.tips - strip.tips) < SAME &&
        one.laps.length === strip.laps.length &&
        one.laps.every((lap, k) => Math.abs(lap - at(strip.laps, k)) < SAME),
    );
    if (alike) alike.count++;
    else found.push({ ...strip, count: 1 });
  }
  const rank = ({ family }: GridStrip): number => ["level", "falling", "rising"].indexOf(family);
  return found.sort((a, b) => rank(a) - rank(b) || b.tips - a.tips);
}

function stripOf(grid: ThreeWayGrid, { family, crossings }: GridLine): Omit<GridStrip, "count"> {
  const { pitch, strip, clear, rows } = grid;
  const inside = crossings.flatMap((crossing, k) => (atBorder(grid, crossing) ? [] : [k]));
  if (family === "level") {
    const first = (at(crossings, 0).half * pitch) / 2;
    const laps = inside.map((k) => first + k * pitch);
    return { family, middle: clear.width, tips: clear.width, laps };
  }
  // The border's level faces are half a strip inside the outermost crossings; its upright faces run through them.
  const [starts, ends] = [at(crossings, 0).line === 0, at(crossings, crossings.length - 1).line === rows];
  const inset = (level: boolean): number => (level ? strip / Math.sqrt(3) : 0);
  const tip = (level: boolean): number => strip * (level ? TIP.level : TIP.upright);
  const middle = (crossings.length - 1) * pitch - inset(starts) - inset(ends);
  const start = tip(starts) - inset(starts);
  return {
    family,
    middle,
    tips: middle + tip(starts) + tip(ends),
    laps: inside.map((k) => start + k * pitch),
  };
}
