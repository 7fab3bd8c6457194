/** What may be off in a shop: an angle of a jig or a bench, a length at a set-up, the stock, what an instrument adds. */
export type SourceKind = "ramp" | "lean" | "stop" | "thickness" | "reference" | "bias";

/**
 * Which error source is meant. Two ids with the same fields mean the same source ({@link sameSource}); their names for people are made where text is printed.
 */
export interface SourceId {
  readonly kind: SourceKind;
  /** The jig of a ramp or lean, the set-up of a stop, the bench of a reference, the instrument of a bias; empty for the thickness of the batch. */
  readonly of: string;
  /** Given, the source is what the known move of that ramp or stop before this round missed by; left out, the ramp or stop itself. */
  readonly round?: string;
}

/** What differs from cut to cut, from piece to piece or from wall to wall. */
export interface ScatterId {
  readonly kind: "scatter";
  readonly of: "angle" | "length" | "lean" | "thickness" | "wall";
}

/** Something wrong with the grid: racked, or its opening out of size. */
export interface GridId {
  readonly kind: "grid";
  readonly of: "racking" | "opening";
}

/** Points that stand off the middle of their strip, all of one group of cuts. */
export interface OffCentreId {
  readonly kind: "off-centre";
  readonly of: string;
}

/** Anything that may be wrong in a cell. */
export type ErrorId = SourceId | ScatterId | GridId | OffCentreId;

/** The thickness of the batch about its nominal value. */
export const BATCH_THICKNESS: SourceId = { kind: "thickness", of: "" };

/** A string that is the same for the same error and for no other: for maps and sets only, never shown and never parsed. */
export const sourceKey = (id: ErrorId): string => JSON.stringify([id.kind, id.of, roundOf(id)]);

/** Whether two ids mean the same error. */
export const sameSource = (a: ErrorId, b: ErrorId): boolean =>
  a.kind === b.kind && a.of === b.of && roundOf(a) === roundOf(b);

const roundOf = (id: ErrorId): string | null => ("round" in id ? (id.round ?? null) : null);

const ANGULAR: ReadonlySet<SourceKind> = new Set(["ramp", "lean", "reference"]);

/** Whether sources of a kind are angles (rad); the others are lengths (mm). */
export const isAngular = (kind: SourceKind): boolean => ANGULAR.has(kind);
