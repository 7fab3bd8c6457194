import { add, direction, scale, vec } from "../../geometry/vector.js";
import type { Piece } from "../arrangement.js";
import { cut } from "../cuts.js";
import { type Bench, type BenchOptions, ORIGIN, RIGHT_ANGLE, reference, stubLength } from "./bench.js";

/** A bevel against a straightedge, the long side of the piece against a fence. */
export function straightedgeBench(options: BenchOptions): Bench {
  const { strip, jigAngle } = options;
  const length = stubLength(strip);
  const bevel: Piece = {
    name: "bevel",
    kind: "trial",
    origin: ORIGIN,
    axis: 0,
    length,
    cuts: [
      cut("start-left", { jigAngle: 0, reach: length / 2, role: "square", group: "trial.end" }),
      cut("end-left", { jigAngle, reach: length / 2, role: "mitre", group: "trial.bevel" }),
    ],
  };
  const bevelMiddle = vec(length / 2, 0);
  return {
    name: "straightedge",
    strip,
    walls: [
      reference("fence", vec(0, -strip / 2), RIGHT_ANGLE, length),
      reference("straightedge", bevelMiddle, jigAngle + Math.PI, length),
    ],
    pieces: [bevel],
    jointCount: 2,
  };
}

/** A hinge's end (mitre and seat) with its tip at `tip`, arriving along `axis`; `mitreSide` is the side that the mitre faces. */
export function hingeEnd(
  name: string,
  tip: { x: number; y: number },
  axis: number,
  mitreSide: "left" | "right",
  seatShare: number,
  { strip, jigAngle }: BenchOptions,
): Piece {
  const length = stubLength(strip);
  const off = (seatShare - 0.5) * strip;
  const lateral = mitreSide === "left" ? off : -off;
  const origin = add(tip, scale(direction(axis + RIGHT_ANGLE), -lateral));
  const shift = off * Math.tan(jigAngle);
  const seatSide = mitreSide === "left" ? "right" : "left";
  return {
    name,
    kind: "trial",
    origin: add(origin, scale(direction(axis), -length / 2)),
    axis,
    length,
    cuts: [
      cut("start-left", { jigAngle: 0, reach: length / 2, role: "square", group: "trial.end" }),
      cut(`end-${mitreSide}`, { jigAngle, reach: length / 2 + shift, role: "mitre", group: "trial.mitre" }),
      cut(`end-${seatSide}`, { jigAngle, reach: length / 2 - shift, role: "seat", group: "trial.seat" }),
    ],
  };
}
