/** The kinds of error source in a shop: an angle of a jig or a bench, a length at a set-up, the stock, an instrument's bias. */
export type SourceKind = "ramp" | "lean" | "stop" | "thickness" | "reference" | "bias";

/**
 * Identifies an error source. Two ids with the same fields mean the same source ({@link sameSource}). Names for people are made where text is printed.
 */
export interface SourceId {
  readonly kind: SourceKind;
  /** The jig of a ramp or lean, the set-up of a stop, the bench of a reference, the instrument of a bias; empty for the thickness of the batch. */
  readonly of: string;
  /** If given, the source is the error of the known move of that ramp or stop before this round; if left out, the ramp or stop itself. */
  readonly round?: string;
}

/** Errors that differ from cut to cut, from piece to piece or from wall to wall. */
export interface ScatterId {
  readonly kind: "scatter";
  readonly of: "angle" | "length" | "lean" | "thickness" | "wall";
}

/** An error of the grid: it is racked, or its opening is out of size. */
export interface GridId {
  readonly kind: "grid";
  readonly of: "racking" | "opening";
}

/** Points off the middle of their strip, in all cuts of one group. */
export interface OffCentreId {
  readonly kind: "off-centre";
  readonly of: string;
}

/** Any error of a cell. */
export type ErrorId = SourceId | ScatterId | GridId | OffCentreId;

/** The deviation of the batch's thickness from its nominal value. */
export const BATCH_THICKNESS: SourceId = { kind: "thickness", of: "" };

/** A string unique to the error, used as a key of maps and sets; it is never shown and never parsed. */
export const sourceKey = (id: ErrorId): string => JSON.stringify([id.kind, id.of, roundOf(id)]);

/** Whether two ids mean the same error. */
export const sameSource = (a: ErrorId, b: ErrorId): boolean =>
  a.kind === b.kind && a.of === b.of && roundOf(a) === roundOf(b);

const roundOf = (id: ErrorId): string | null => ("round" in id ? (id.round ?? null) : null);

const ANGULAR: ReadonlySet<SourceKind> = new Set(["ramp", "lean", "reference"]);

/** Whether sources of a kind are angles (rad); the others are lengths (mm). The unit of a bias is that of its instrument: see its `Source`. */
export const isAngular = (kind: SourceKind): boolean => ANGULAR.has(kind);
