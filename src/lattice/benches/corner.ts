import { direction, scale } from "../../geometry/vector.js";
import {
  type Bench,
  type BenchOptions,
  ORIGIN,
  pointStub,
  RIGHT_ANGLE,
  reference,
  stubLength,
} from "./bench.js";

/** A point in a reference corner of its nominal angle, 180° − 2J: a square for 45/45, a 45° corner for 67.5/67.5. */
export function cornerBench(name: string, options: BenchOptions): Bench {
  const { strip, jigAngle } = options;
  const half = stubLength(strip) / 2;
  // The corner's tip is the origin and it opens along +x; each edge leaves at 90° − J from the axis.
  const edge = RIGHT_ANGLE - jigAngle;
  return {
    name,
    strip,
    walls: [
      reference("reference-left", scale(direction(edge), half), edge - RIGHT_ANGLE, half),
      reference("reference-right", scale(direction(-edge), half), RIGHT_ANGLE - edge, half),
    ],
    pieces: [pointStub("point", ORIGIN, 0, options)],
    jointCount: 2,
  };
}
