import type { BenchName } from "./cell/benches.js";
import type { PanelSide } from "./cell/cell.js";

/**
 * What a reading is of: a gap in a joint; the angle of a cut; a piece's length from tip to tip, or the length of one of its sides from shoulder to shoulder; its thickness;
 * the angle of a jig's ramp, read on the ramp itself. Angles of cuts and ramps are in rad, counted from square; everything else is in mm.
 */
export const QUANTITIES = ["gap", "angle", "length", "shoulder", "thickness", "ramp"] as const;
/** What can be read with an instrument; see {@link QUANTITIES}. */
export type ReadQuantity = (typeof QUANTITIES)[number];

/** Whether a quantity is an angle (rad); the others are lengths (mm). */
export const isAngleReading = (what: ReadQuantity): what is "angle" | "ramp" =>
  what === "angle" || what === "ramp";

/** Where along a joint a gap is read; `widest` is whichever end is wider, which is all that a broad leaf can show. */
export const PLACES = ["toe", "heel", "widest"] as const;
/** Where along a joint a gap is read; see {@link PLACES}. */
export type Place = (typeof PLACES)[number];

/** A measuring instrument as the job declares it. */
export interface Instrument {
  readonly name: string;
  /** What it reads. */
  readonly reads: readonly ReadQuantity[];
  /** Where along a joint it can reach a gap; empty when it reads no gaps. */
  readonly reach: readonly Place[];
  /** Resolution, mm or rad; `null` for an instrument that gives only intervals. */
  readonly resolution: number | null;
  /** Repeatability: standard deviation of repeated readings of the same thing, mm or rad, ≥ 0. */
  readonly repeatability: number;
  /** Bias added to every reading, mm or rad: a leaf that pushes loose pieces apart reads too much (+). */
  readonly bias: number;
  /** Standard deviation of the bias, mm or rad. */
  readonly biasPriorSd: number;
  /** Leaves of a feeler gauge, mm, ascending; empty for other instruments. */
  readonly leaves: readonly number[];
}

/** `cell`: the whole cell put together; `none`: a single piece, or a jig, measured alone. */
export type ReadingBench = BenchName | "cell" | "none";

/** A gap up to this reads as closed on an instrument that shows values, mm: half its step, or what it repeats to. */
export const closedBelow = ({
  resolution,
  repeatability,
}: Pick<Instrument, "resolution" | "repeatability">): number =>
  Math.max((resolution ?? 0) / 2, repeatability);

/** The reading of a joint that an instrument with values shows as closed: a joint may be pressed, so the low end is open. */
export const closedGap = (
  instrument: Pick<Instrument, "resolution" | "repeatability">,
): { readonly value: null; readonly low: number; readonly high: number } => ({
  value: null,
  low: Number.NEGATIVE_INFINITY,
  high: closedBelow(instrument),
});

/**
 * One row of a trials table. A reading has a value (read at the instrument's resolution) or an interval that contains it.
 * An interval without a lower end means "at most `high`" (no leaf goes in: closed or pressed); one without an upper end means "at least `low`".
 */
export interface Reading {
  readonly id: string;
  /** Number of its line in the table, 1 for its heading. */
  readonly line: number;
  /** Path of the table as the caller gave it; left out for a reading made in memory. */
  readonly file?: string;
  /** The trial. Readings of one trial are of the same pieces, with the same cut-to-cut errors. */
  readonly trial: string;
  /** The set-up that cut a trial piece; `null` for a whole cell, which every set-up helped to cut, and for a ramp, which is read on the jig. */
  readonly setUp: string | null;
  readonly bench: ReadingBench;
  /** The round of trials it belongs to; `null` before any known move. */
  readonly round: string | null;
  readonly what: ReadQuantity;
  /**
   * For a gap: the joint's full name, `piece.face|mate`, or `null` for the widest of all joints. For an angle: the cut,
   * `start-left` of a trial piece or `hinge-1.end-left` of a cell's. For a length or thickness: the piece. For a shoulder length: the side, `hinge-1.left`. For a ramp: the jig.
   */
  readonly subject: string | null;
  /** Only for a gap. */
  readonly at: Place | null;
  /** The side of the panel at which a gap was read, where cuts may lean; if left out, the wider side. */
  readonly side?: PanelSide;
  /** The value read: rad for an angle, otherwise mm; a gap above 0 is open. `null` if there is an interval. */
  readonly value: number | null;
  /** Ends of the interval, rad or mm; −Infinity or +Infinity for an open end; both `null` if there is a value. */
  readonly low: number | null;
  readonly high: number | null;
  readonly instrument: string;
  readonly note: string;
}
