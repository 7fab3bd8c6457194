import type { Vec } from "../../core/geometry.js";
import type { CutFace, CutRole } from "../../model/cell/arrangement.js";
import type { KeyPath, YamlSource } from "../yaml/yaml-source.js";
import type { Expression } from "./parse-expression.js";

/** Kinds of size of a pattern: a length (mm), an angle (rad), or a share between 0 and 1. */
export const SIZE_KINDS = ["length", "angle", "share"] as const;
/** Kind of a size of a pattern; see {@link SIZE_KINDS}. */
export type SizeKind = (typeof SIZE_KINDS)[number];

/** A size that a job gives to a pattern. Every pattern has `opening` and `strip`. */
export interface PatternSize {
  /** Name in job files: `seat-share`. */
  readonly name: string;
  /** Name in expressions: `seat_share`. */
  readonly symbol: string;
  readonly is: SizeKind;
  /** Default value; may use the sizes before it. */
  readonly usual: Expression;
  readonly says: string;
}

/** A grid strip's face from one corner of the opening to the next, counter-clockwise: the opening lies to its left. */
export interface PatternWall {
  readonly name: string;
  readonly from: Expression;
  readonly to: Expression;
}

/** A cut of a kind of piece. */
export interface PatternCut {
  readonly face: CutFace;
  /** Jig angle from a square cut. */
  readonly angle: Expression;
  /** Distance from the start tip to where it crosses the axis; `null`: at the tip of its end. */
  readonly at: Expression | null;
  readonly role: CutRole;
  readonly group: string;
  /** Its key under `cuts`; `end` stands for both cuts of that end. */
  readonly key: string;
}

/** Pieces made alike. */
export interface PatternKind {
  readonly name: string;
  /** Length from tip to tip. */
  readonly length: Expression;
  readonly cuts: readonly PatternCut[];
}

/** A piece: its kind and its position. */
export interface PatternPiece {
  readonly name: string;
  readonly kind: string;
  /** Position of its start tip. */
  readonly from: Expression;
  /** A point towards which its axis runs. */
  readonly towards: Expression;
  /** Whether left and right are swapped. */
  readonly mirrored: boolean;
}

/** A pattern file as read, with expressions not yet evaluated. */
export interface Pattern {
  readonly name: string;
  readonly title: string;
  readonly about: string;
  /** Whether it comes with this project. */
  readonly shipped: boolean;
  readonly sizes: readonly PatternSize[];
  /** @internal */
  readonly lets: readonly (readonly [name: string, value: Expression])[];
  /** @internal */
  readonly walls: readonly PatternWall[];
  /** @internal */
  readonly kinds: readonly PatternKind[];
  /** @internal */
  readonly pieces: readonly PatternPiece[];
  /** Names of the joints, `piece.face|mate`. */
  readonly joints: readonly string[];
  /** Pieces by name, in the order of fitting. */
  readonly stages: readonly (readonly string[])[];
  /** The file, for the places of what is found wrong later. @internal */
  readonly source: YamlSource;
}

/** Sizes of a pattern by name: mm, rad, or dimensionless. */
export type PatternSizes = Readonly<Record<string, number>>;

/** A fault of a pattern, with its place in the file and in the cell. */
export interface PatternFault {
  readonly path: KeyPath;
  /** What is wrong and by how much; the rule. */
  readonly sentence: string;
  readonly example?: string;
  /** Places to mark in a drawing, mm in the cell's axes. */
  readonly marks: readonly Vec[];
}
