import { vec } from "../../geometry/vector.js";
import type { Pin, Wall } from "../arrangement.js";
import {
  type Bench,
  type BenchOptions,
  ORIGIN,
  pointStub,
  RIGHT_ANGLE,
  reference,
  stubLength,
} from "./bench.js";

/**
 * `count` equal points side by side about one centre, the first lying on a straight line. All are pressed together but the last joint, to which the last point
 * is only slid up; it shows `count` times the error of one, at its heel when they are sharp, at its toe when blunt: against the same line when they fill half a turn (`reversal` is two 45/45 points), against the first point when they fill a full one.
 */
export function fanBench(name: string, count: number, options: BenchOptions): Bench {
  const { strip, jigAngle } = options;
  const wedge = Math.PI - 2 * jigAngle;
  const half = stubLength(strip) / 2;
  const fullTurn = Math.abs(count * wedge - 2 * Math.PI) < 1e-9;
  // A full turn leaves no room for the line on its far side.
  const middle = fullTurn ? vec(half / 2, 0) : ORIGIN;
  const walls: Wall[] = [reference("line", middle, RIGHT_ANGLE, fullTurn ? half / 2 : half)];
  const names = Array.from({ length: count }, (_, i) => `point-${i + 1}`);
  const pieces = names.map((piece, i) => pointStub(piece, ORIGIN, (i + 0.5) * wedge, options));
  // Each point lies on the face before it and is kept from sliding along that face: the last by the joint that closes, the others by a pin.
  const pins = names.slice(0, -1).map((piece, i): Pin => ({ piece, at: ORIGIN, stops: i * wedge }));
  const last = names[count - 1]!;
  const closing = fullTurn ? `point-1.start-right|${last}.start-left` : `${last}.start-left|line`;
  return { name, strip, walls, pieces, pins, unpressed: [closing], jointCount: count + 1 };
}
