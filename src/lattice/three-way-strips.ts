import { atBorder, type Family, type GridLine, type ThreeWayGrid } from "./three-way-grid.js";

/** Strips of a three-way grid that are cut alike; lengths mm. */
export interface GridStrip {
  readonly family: Family;
  readonly count: number;
  /** From border to border, along the middle line. */
  readonly middle: number;
  /** Tip to tip: a slant's ends are cut along the border. */
  readonly tips: number;
  /** Middle of each lap from the tip of the strip's start. */
  readonly laps: readonly number[];
}

/** What a slant's end adds to its middle line, in strips: half of one by the cotangent of its angle to the border, 60° at a level member and 30° at an upright one. */
const TIP = { level: 1 / (2 * Math.sqrt(3)), upright: Math.sqrt(3) / 2 } as const;
/** Lengths that agree to this are one, mm. */
const SAME = 1e-6;

/** The strips of a grid between the borders, those cut alike together: level, falling, rising, the longest first. */
export function gridStrips(grid: ThreeWayGrid): GridStrip[] {
  const found: (GridStrip & { count: number })[] = [];
  for (const line of grid.lines.filter(({ border }) => !border)) {
    const strip = stripOf(grid, line);
    const alike = found.find(
      (one) =>
        one.family === strip.family &&
        Math.abs(one.tips - strip.tips) < SAME &&
        one.laps.length === strip.laps.length &&
        one.laps.every((lap, k) => Math.abs(lap - strip.laps[k]!) < SAME),
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
    const first = (crossings[0]!.half * pitch) / 2;
    const laps = inside.map((k) => first + k * pitch);
    return { family, middle: clear.width, tips: clear.width, laps };
  }
  // The border's level faces stand half a strip inside the outermost crossings, its upright ones run through them.
  const [starts, ends] = [crossings[0]!.line === 0, crossings.at(-1)!.line === rows];
  const inset = (level: boolean): number => (level ? strip / Math.sqrt(3) : 0);
  const tip = (level: boolean): number => strip * (level ? TIP.level : TIP.upright);
  const middle = (crossings.length - 1) * pitch - inset(starts) - inset(ends);
  const start = tip(starts) - inset(starts);
  return {
    ...{ family, middle, tips: middle + tip(starts) + tip(ends) },
    laps: inside.map((k) => start + k * pitch),
  };
}
