import { add, direction, scale } from "../../geometry/vector.js";
import type { Piece, Wall } from "../arrangement.js";
import { CLOSING_SEAT_SHARE } from "../asanoha-square.js";
import { type Bench, type BenchOptions, ORIGIN, RIGHT_ANGLE, reference, stubLength } from "./bench.js";
import { hingeEnd } from "./straightedge.js";

/** Two hinge ends mitre to mitre, each with the side that its mitre faces against a fence at the cell's angle. A pin keeps the pair from wandering. */
export function mitrePairBench(options: BenchOptions): Bench {
  const { strip, jigAngle, seatShare = CLOSING_SEAT_SHARE } = options;
  // The mitre line is the y axis; hinge-a arrives from the left, falling away by J, hinge-b from the right.
  const a = hingeEnd("hinge-a", ORIGIN, jigAngle, "right", seatShare, options);
  const b = hingeEnd("hinge-b", ORIGIN, Math.PI - jigAngle, "left", seatShare, options);
  return {
    name: "mitre-pair",
    strip,
    walls: [fence("fence-a", a, -1, strip), fence("fence-b", b, 1, strip)],
    pieces: [a, b],
    pins: [{ piece: "hinge-a", at: a.origin, stops: a.axis }],
    jointCount: 3,
  };
}

/** A fence along the side of a piece that lies to its left (+1) or right (−1). */
function fence(name: string, { origin, axis }: Piece, side: -1 | 1, strip: number): Wall {
  const outward = axis + side * RIGHT_ANGLE;
  const middle = add(origin, scale(direction(outward), strip / 2));
  return reference(name, middle, outward + Math.PI, stubLength(strip) / 2);
}
