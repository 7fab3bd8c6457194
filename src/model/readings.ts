import type { BenchName } from "./cell/benches.js";
import type { PanelSide } from "./cell/cell.js";

/** What a reading is of. Gaps, lengths and thicknesses are in mm, angles in rad. */
export const QUANTITIES = ["gap", "angle", "length", "thickness"] as const;
/** What can be read with an instrument; see {@link QUANTITIES}. */
export type ReadQuantity = (typeof QUANTITIES)[number];

/** Where along a joint a gap is read; `widest` is whichever end is wider, all that a broad leaf can tell. */
export const PLACES = ["toe", "heel", "widest"] as const;
/** Where along a joint a gap is read; see {@link PLACES}. */
export type Place = (typeof PLACES)[number];

/** A measuring instrument as the job declares it. */
export interface Instrument {
  readonly name: string;
  /** What it reads. */
  readonly reads: readonly ReadQuantity[];
  /** Where it can get at a gap; empty when it reads no gaps. */
  readonly reach: readonly Place[];
  /** Smallest step it shows, mm or rad; `null` for one that only tells intervals. */
  readonly resolution: number | null;
  /** Standard deviation of repeated readings of one thing, mm or rad, ≥ 0. */
  readonly repeatability: number;
  /** What it adds to every reading, mm or rad: a leaf that pushes loose pieces apart reads too much (+). */
  readonly bias: number;
  /** Standard deviation of that, mm or rad. */
  readonly biasPriorSd: number;
  /** Leaves of a feeler gauge, mm, rising; empty for other instruments. */
  readonly leaves: readonly number[];
}

/** `cell`: the whole cell put together; `none`: the piece in the hand, measured by itself. */
export type ReadingBench = BenchName | "cell" | "none";

/**
 * One row of a trials table. A reading has a value (read with the instrument's resolution) or an interval that holds it.
 * An interval without a lower end says "at most `high`" (nothing goes in: closed or pressed), one without an upper end "at least `low`".
 */
export interface Reading {
  readonly id: string;
  /** Number of its line in the table, 1 for its heading. */
  readonly line: number;
  /** The trial: readings of one trial are of the same pieces, with the same cut-to-cut errors. */
  readonly trial: string;
  /** The set-up that cut a trial piece; `null` for a whole cell, where every set-up had its share. */
  readonly setUp: string | null;
  readonly bench: ReadingBench;
  /** The round of trials it belongs to; `null` before any known move. */
  readonly round: string | null;
  readonly what: ReadQuantity;
  /**
   * For a gap the joint's full name, `piece.face|mate`, or `null` for the widest of all joints; for an angle the cut,
   * `start-left` of a trial piece or `hinge-1.end-left` of a cell's; for a length or thickness the piece.
   */
  readonly subject: string | null;
  /** For a gap. */
  readonly at: Place | null;
  /** The side of the panel that a gap was read at, where cuts may lean; left out, whichever side is wider. */
  readonly side?: PanelSide;
  /** What was read, rad of an angle, else mm; a gap above 0 is open. `null` where there is an interval. */
  readonly value: number | null;
  /** Ends of the interval, rad or mm; −Infinity and +Infinity where an end is open; both `null` when there is a value. */
  readonly low: number | null;
  readonly high: number | null;
  readonly instrument: string;
  readonly note: string;
}
