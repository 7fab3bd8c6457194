import type { Vec } from "../../core/geometry.js";

/** Names of the faces of a piece: its two sides, and its cuts by the end they close and the side they face. */
export type CutFace = "start-left" | "start-right" | "end-left" | "end-right";

/** What a cut is for; it decides which face of a joint is named first and what the trade calls it. */
export type CutRole = "point" | "mitre" | "seat" | "square";

/**
 * One cut of a piece, in the piece's own frame (origin on the axis at half its tip-to-tip length, x from start to end, y to its left).
 * The face is the half-plane n·p ≤ c with n = (end·cos J, side·sin J) and c = reach·cos J.
 */
export interface Cut {
  readonly face: CutFace;
  /** −1 at the start of the piece, +1 at its end. */
  readonly end: -1 | 1;
  /** +1 when the cut faces the left side, −1 the right. */
  readonly side: -1 | 1;
  /** Jig angle J, rad, counted from a square cut. */
  readonly jigAngle: number;
  /** Axial distance from the origin to where the cut crosses the axis, mm. */
  readonly reach: number;
  readonly role: CutRole;
  /** Cuts of one group are made alike, on one jig at one stop: `hinge.seat`. */
  readonly group: string;
}

/** A strip with its cuts, placed in the cell. */
export interface Piece {
  readonly name: string;
  /** Pieces of one kind are made alike: `diagonal`, `hinge`, `key`. */
  readonly kind: string;
  /** Position of the piece's own origin in the cell, mm. */
  readonly origin: Vec;
  /** Direction of the piece's x axis, rad counter-clockwise from the cell's +x. */
  readonly axis: number;
  /** Tip to tip, mm. */
  readonly length: number;
  readonly cuts: readonly Cut[];
}

/** A straight face that the pieces rest against: a grid strip, or the edge of a reference on a bench. */
export interface Wall {
  readonly name: string;
  /** The point about which the wall turns, mm. */
  readonly middle: Vec;
  /** Direction of its normal into the opening, rad. */
  readonly normal: number;
  readonly halfLength: number;
}

/** A single-point stop that keeps a piece from sliding where nothing else does. It carries no load at equilibrium, and no gap is read at it. */
export interface Pin {
  readonly piece: string;
  readonly at: Vec;
  /** Direction in which the pin stops the piece, rad. */
  readonly stops: number;
}

/** Pieces and walls at nominal size: a pattern's cell, or a bench. */
export interface Arrangement {
  readonly name: string;
  /** Thickness of the strips as seen from the face, mm. */
  readonly strip: number;
  /** Depth of the strips through the panel, mm, > 0. When it is given, cuts may lean and every joint is read at the front and at the back. */
  readonly depth?: number;
  readonly walls: readonly Wall[];
  readonly pieces: readonly Piece[];
  /** On a bench with a reference: the name of the wall that turns when the reference's angle is off. */
  readonly referenceWall?: string;
  readonly pins?: readonly Pin[];
  /** Names of the joints that are only brought together, too lightly to open or close any other joint. */
  readonly unpressed?: readonly string[];
  /** Number of joints the arrangement must have; if a different number is found, the strip does not suit the opening. `null`: any number. */
  readonly jointCount: number | null;
  /** The order of fitting: for each stage, the names of the pieces put in together. Every piece of a pattern is in one stage; absent on a bench. */
  readonly stages?: readonly (readonly string[])[];
}

interface CutOptions {
  readonly jigAngle: number;
  readonly reach: number;
  readonly role: CutRole;
  readonly group: string;
}

/** One cut, from the face it makes. */
export function cut(face: CutFace, options: CutOptions): Cut {
  return {
    face,
    end: face.startsWith("start") ? -1 : 1,
    side: face.endsWith("left") ? 1 : -1,
    ...options,
  };
}

/** The two equal cuts of a point that is centred on the axis. */
export function pointCuts(end: "start" | "end", options: Omit<CutOptions, "role">): [Cut, Cut] {
  const both = { ...options, role: "point" } as const;
  return [cut(`${end}-left`, both), cut(`${end}-right`, both)];
}
