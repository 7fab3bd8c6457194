import { add, direction, scale, type Vec, vec } from "../../geometry/vector.js";
import type { Arrangement, Piece, Wall } from "../arrangement.js";
import { cut, pointCuts } from "../cuts.js";

export const RIGHT_ANGLE = Math.PI / 2;

/** What a bench needs to know of the trial piece. */
export interface BenchOptions {
  /** Strip thickness seen from the face, mm. */
  readonly strip: number;
  /** Nominal angle of the jig under trial, rad from a square cut. */
  readonly jigAngle: number;
  /** For a mitre: share of the strip that the other cut of that end takes; default that of the square asanoha's seat. */
  readonly seatShare?: number;
}

/** A trial piece is a short stub: this many strip thicknesses from tip to square end. No bench touches that end. */
const STUB = 12;
export const stubLength = (strip: number): number => STUB * strip;

/** A stub with a centred point at its start, the tip at `tip`, its body lying along `axis`. */
export function pointStub(name: string, tip: Vec, axis: number, { strip, jigAngle }: BenchOptions): Piece {
  const length = stubLength(strip);
  return {
    name,
    kind: "trial",
    origin: add(tip, scale(direction(axis), length / 2)),
    axis,
    length,
    cuts: [
      ...pointCuts("start", { jigAngle, reach: length / 2, group: "trial.point" }),
      cut("end-left", { jigAngle: 0, reach: length / 2, role: "square", group: "trial.end" }),
    ],
  };
}

/** A reference edge through `middle`, its normal (towards the piece) at `normal`. */
export function reference(name: string, middle: Vec, normal: number, halfLength: number): Wall {
  return { name, middle, normal, halfLength };
}

export const ORIGIN = vec(0, 0);

/** A bench: an arrangement in which a trial piece is judged. */
export type Bench = Arrangement;
