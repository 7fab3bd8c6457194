import { add, direction, type HalfPlane, halfPlaneThrough, scale, type Vec } from "../../core/geometry.js";
import type { Arrangement, Cut, CutFace, Piece, Wall } from "./arrangement.js";
import { faceName } from "./face-id.js";

/** A straight face of a piece or of a wall, in the cell's axes, at nominal size. */
export interface Face {
  /** `hinge-1.end-left`, `diagonal.left`, `wall-top`. */
  readonly name: string;
  /** Index of the piece it belongs to, −1 for a wall or a pin's fixed half. */
  readonly body: number;
  /** The point from which the offset is measured and about which the face turns: the piece's origin or the wall's middle, mm. */
  readonly origin: Vec;
  /** Direction of its outward normal (a wall's points into the opening), rad. */
  readonly angle: number;
  /** Distance from `origin` along the normal, mm. */
  readonly offset: number;
  readonly kind: "cut" | "side" | "wall" | "pin";
  /** Only for a cut. */
  readonly cut?: Cut;
}

/** Two faces that should touch. Both ends of the joint are probes: fixed places in the cell where the gap is read along the first face's normal. */
export interface Joint {
  /** `piece.face|mate`. */
  readonly name: string;
  /** Index of the first-named face, and of its mate. */
  readonly first: number;
  readonly mate: number;
  /** The end nearer the first piece's axis (its point), mm. */
  readonly toe: Vec;
  /** The end at its shoulder, mm. */
  readonly heel: Vec;
  /** mm. */
  readonly length: number;
  /** False when the joint is only brought together, too lightly to open or close any other joint. */
  readonly pressed: boolean;
}

/** The single-point stops, as pairs of faces. */
export interface PinContact {
  /** Indices of the two faces that the pin holds together. */
  readonly first: number;
  readonly mate: number;
  readonly at: Vec;
}

/** An arrangement with its faces and the joints found from the geometry. */
export interface Cell extends Arrangement {
  readonly faces: readonly Face[];
  readonly joints: readonly Joint[];
  readonly contacts: readonly PinContact[];
  /** Where gaps are read: toe and heel of each joint; in a cell with a depth those at the front, then those at the back. */
  readonly probes: readonly Probe[];
  /** The elementary errors, in the order of the cell's error vectors. */
  readonly errorEntries: readonly ElementaryError[];
  /** Index of each elementary error in an error vector, by its key in `errorLayout`. */
  readonly errorPlaces: ReadonlyMap<string, number>;
  /** For each face the indices of the elementary errors that move it. */
  readonly faceErrors: readonly FaceErrors[];
}

/** Indices in an error vector of the errors that move one face: angle, axial error and lean of a cut; turn and offset of a wall; the thickness (twice) of a side; −1 for none. */
export interface FaceErrors {
  readonly turn: number;
  readonly shift: number;
  readonly lean: number;
}

/** `first`: gaps are linear in errors and poses. `exact`: gaps follow from the true positions of the faces. */
export type Order = "first" | "exact";

/** Direction of a cut's outward normal in the piece's own frame, rad, for a jig that cuts at `jigAngle`. */
export function cutNormal(cut: Pick<Cut, "end" | "side">, jigAngle: number): number {
  return cut.end === 1 ? cut.side * jigAngle : Math.PI - cut.side * jigAngle;
}

/** The faces of a piece, sides first. */
export function pieceFaces(piece: Piece, body: number, strip: number): Face[] {
  const common = { body, origin: piece.origin };
  const side = (name: "left" | "right", turn: number): Face => ({
    ...common,
    name: faceName({ owner: piece.name, face: name }),
    angle: piece.axis + turn,
    offset: strip / 2,
    kind: "side",
  });
  const cutFace = (cut: Cut): Face => ({
    ...common,
    name: faceName({ owner: piece.name, face: cut.face }),
    angle: piece.axis + cutNormal(cut, cut.jigAngle),
    offset: cut.reach * Math.cos(cut.jigAngle),
    kind: "cut",
    cut,
  });
  return [side("left", Math.PI / 2), side("right", -Math.PI / 2), ...piece.cuts.map(cutFace)];
}

export function wallFace(wall: Wall): Face {
  return { name: wall.name, body: -1, origin: wall.middle, angle: wall.normal, offset: 0, kind: "wall" };
}

/** A face as a half-plane in the cell's axes. */
export function facePlane(face: Face): HalfPlane {
  return halfPlaneThrough(face.angle, add(face.origin, scale(direction(face.angle), face.offset)));
}

/** The two faces of the panel: the front lies towards the viewer, at z = +depth/2 from mid-depth, the back at z = −depth/2. */
export const PANEL_SIDES = ["front", "back"] as const;
/** A face of the panel: one of {@link PANEL_SIDES}. */
export type PanelSide = (typeof PANEL_SIDES)[number];

/** One end of a joint, where its gap is read. */
export interface Probe {
  /** Index of the joint in the cell. */
  readonly index: number;
  readonly joint: Joint;
  readonly at: "toe" | "heel";
  /** Only in a cell that has a depth. */
  readonly side?: PanelSide;
}

/** The probes of joints in their order: toe and heel of each; in a cell with a depth those at the front, then those at the back. */
export function probesOfJoints(joints: readonly Joint[], depth: number | undefined): Probe[] {
  const once = (more: { side?: PanelSide }): Probe[] =>
    joints.flatMap((joint, index): Probe[] => [
      { index, joint, at: "toe", ...more },
      { index, joint, at: "heel", ...more },
    ]);
  return depth === undefined ? once({}) : PANEL_SIDES.flatMap((side) => once({ side }));
}

/** For each joint of a cell, the indices of its probes among the cell's probes. */
export const probesByJoint = (cell: Cell): number[][] =>
  cell.joints.map((_, index) => cell.probes.flatMap((probe, i) => (probe.index === index ? [i] : [])));

/**
 * The probes at which a gap may have been read: of one joint or (`null`) any joint, at one of its ends or (otherwise) either,
 * at one side of the panel or (left out) at both.
 */
export const probesAt = (
  cell: Cell,
  where: { readonly joint: string | null; readonly at: string | null; readonly side?: PanelSide | undefined },
): number[] => {
  const ends = where.at === "toe" || where.at === "heel";
  return cell.probes.flatMap(({ joint, at, side }, i) =>
    (where.joint === null || joint.name === where.joint) &&
    (!ends || at === where.at) &&
    (where.side === undefined || side === where.side)
      ? [i]
      : [],
  );
};

/** Distance of a side of the panel from mid-depth, mm, positive towards the viewer; 0 in a cell without a depth. */
export const sideDepth = ({ depth = 0 }: Pick<Cell, "depth">, side: PanelSide): number =>
  side === "front" ? depth / 2 : -depth / 2;

/** Distances from mid-depth at which a cell is read, mm: the front and the back if it has a depth, otherwise only mid-depth. */
export const readDepths = (cell: Pick<Cell, "depth">): readonly number[] =>
  cell.depth === undefined ? [0] : PANEL_SIDES.map((side) => sideDepth(cell, side));
/** The kinds of elementary error: `angle` δ (rad) and `axial` e (mm) of one cut, `lean` λ (rad) of one cut in a cell with a depth, `thickness` dt (mm) of one piece, `turn` (rad) and `offset` (mm) of one wall. */
export type ErrorKind = "thickness" | "angle" | "axial" | "lean" | "turn" | "offset";

/** One elementary error of a cell, and the piece, cut or wall it acts on. */
export interface ElementaryError {
  readonly kind: ErrorKind;
  /** The piece or the wall. */
  readonly owner: string;
  /** The cut, for `angle`, `axial` and `lean`. */
  readonly face?: CutFace;
}
