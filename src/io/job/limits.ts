import { DEGREE } from "../../core/geometry.js";
import type { LengthLimits } from "../likely-slip.js";

// How large the values of a job can be: far beyond any shop, yet near enough that a value in a wrong unit is refused. Common practice and our own, no source.

/** The sizes of a cell that the other limits follow from, mm. */
export interface CellSize {
  readonly opening: number;
  readonly strip: number;
}

/** Limits of the cell itself, mm. */
export const CELL_LIMITS = {
  opening: { least: 5, most: 1000 },
  strip: { least: 0.3, most: 40 },
  depth: { least: 1, most: 300 },
  /** Any other size of a pattern. */
  size: { most: 1000 },
} as const satisfies Readonly<Record<string, LengthLimits>>;

/** Largest standard deviation of an angle, and largest angle by which anything is off or turned, rad. */
export const MOST_ANGLE_SD = 10 * DEGREE;
/** Rule for an angle beyond {@link MOST_ANGLE_SD}. */
export const ANGLE_SD_RULE = "it is less than 10°, so give how far it may be off and not the angle itself";

/** Limits of a job's lengths, mm, for cells of its size. */
export const lengthLimits = ({ opening, strip }: CellSize) =>
  ({
    /** How far a stop is off or moved, and how well its place is known. */
    stop: { most: Math.max(1, opening / 20) },
    stopMove: { most: Math.max(2, opening / 10) },
    /** Smallest move of a stop. */
    step: { least: 0.001, most: Math.max(1, opening / 20) },
    shimBase: { least: 5, most: 1000 },
    shim: { least: 0.001, most: 5 },
    leaf: { least: 0.001, most: 3 },
    /** Scatter of lengths, and of the walls of a grid. */
    scatter: { most: Math.max(0.5, opening / 50) },
    thickness: { most: Math.max(0.3, 0.15 * strip) },
    /** Widest gap and deepest press allowed. */
    closing: { least: 0.001, most: Math.max(0.5, strip / 4) },
    /** Fineness of an instrument that reads lengths. */
    fineness: { most: 1 },
    bias: { most: 5 },
    border: { least: strip / 4, most: Math.max(opening, 3 * strip) },
    lap: { most: Math.max(0.5, strip / 4) },
    frame: { least: opening / 2, most: 5000 },
    play: { most: 50 },
    stick: { least: 50, most: 10_000 },
    kerf: { most: 10 },
    allowance: { most: 100 },
    ends: { most: 200 },
  }) as const satisfies Readonly<Record<string, LengthLimits>>;
