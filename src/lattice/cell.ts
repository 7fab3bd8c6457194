import type { Vec } from "../geometry/vector.js";
import type { Arrangement, Cut } from "./arrangement.js";

/** A straight face of a piece or of a wall, in the cell's axes, at nominal size. */
export interface Face {
  /** `hinge-1.end-left`, `diagonal.left`, `wall-top`. */
  readonly name: string;
  /** Index of the piece it belongs to, −1 for a wall or a pin's fixed half. */
  readonly body: number;
  /** The point that the offset is counted from and that turns leave in place: the piece's origin or the wall's middle, mm. */
  readonly origin: Vec;
  /** Direction of its outward normal (a wall's points into the opening), rad. */
  readonly angle: number;
  /** Distance from `origin` along the normal, mm. */
  readonly offset: number;
  readonly kind: "cut" | "side" | "wall" | "pin";
  /** Where it is a cut. */
  readonly cut?: Cut;
}

/** Two faces that should touch. Both its ends are probes: fixed places in the cell where the gap is read along the first face's normal. */
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
  /** False when the joint is only brought together, too lightly to bend any other. */
  readonly pressed: boolean;
}

/** The single-point stops, as pairs of faces. */
export interface PinContact {
  readonly first: number;
  readonly mate: number;
  readonly at: Vec;
}

/** An arrangement with its faces and the joints found from the geometry. */
export interface Cell extends Arrangement {
  readonly faces: readonly Face[];
  readonly joints: readonly Joint[];
  readonly contacts: readonly PinContact[];
}

/** `first`: gaps linear in errors and poses. `exact`: the faces' true places. */
export type Order = "first" | "exact";
