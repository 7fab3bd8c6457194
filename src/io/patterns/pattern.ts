import type { Vec } from "../../core/geometry.js";
import type { CutFace, CutRole } from "../../model/cell/arrangement.js";
import type { KeyPath, YamlSource } from "../yaml/yaml-source.js";
import type { Expression } from "./parse-expression.js";

/** What a size of a pattern is: a length (mm), an angle (rad), or a share between 0 and 1. */
export const SIZE_KINDS = ["length", "angle", "share"] as const;
/** What a size of a pattern is; see {@link SIZE_KINDS}. */
export type SizeKind = (typeof SIZE_KINDS)[number];

/** A size that a job gives to a pattern. Every pattern has `opening` and `strip`. */
export interface PatternSize {
  /** As job files write it: `seat-share`. */
  readonly name: string;
  /** As expressions write it: `seat_share`. */
  readonly symbol: string;
  readonly is: SizeKind;
  /** Where the job does not give it; may use the sizes before it. */
  readonly usual: Expression;
  readonly says: string;
}

/** A grid strip's face from one corner of the opening to the next, counter-clockwise: the opening lies to its left. */
export interface PatternWall {
  readonly name: string;
  readonly from: Expression;
  readonly to: Expression;
}

/** A cut as a kind of piece has it. */
export interface PatternCut {
  readonly face: CutFace;
  /** From a square cut. */
  readonly angle: Expression;
  /** How far from the start tip it crosses the axis; `null` at the tip of its end. */
  readonly at: Expression | null;
  readonly role: CutRole;
  readonly group: string;
  /** Key under `cuts` that says so: `end` stands for both cuts of that end. */
  readonly key: string;
}

/** Pieces made alike. */
export interface PatternKind {
  readonly name: string;
  /** Tip to tip. */
  readonly length: Expression;
  readonly cuts: readonly PatternCut[];
}

/** Where a piece of some kind lies. */
export interface PatternPiece {
  readonly name: string;
  readonly kind: string;
  /** Its start tip's place on the axis. */
  readonly from: Expression;
  /** A point that its axis runs towards. */
  readonly towards: Expression;
  /** Left and right change places. */
  readonly mirrored: boolean;
}

/** A pattern file as read: expressions still to be worked out. */
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

/** Sizes of a pattern by name: mm, rad, or plain. */
export type PatternSizes = Readonly<Record<string, number>>;

/** Something of a pattern that does not meet, where it stands in its file, and where in the cell. */
export interface PatternFault {
  readonly path: KeyPath;
  /** What is wrong, by how much; the rule. */
  readonly sentence: string;
  readonly example?: string;
  /** Places to mark in a drawing, mm in the cell's axes. */
  readonly marks: readonly Vec[];
}
