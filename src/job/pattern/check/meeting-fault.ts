import { add, direction, dot, scale, sub, type Vec } from "../../../geometry/vector.js";
import { degreesText } from "../../degrees-text.js";
import type { JobPath } from "../../file/job-source.js";
import type { PatternFault } from "../pattern-fault.js";
import { type Edge, middle, TOUCHING } from "./edge.js";
import { fault, mm } from "./fault.js";

/** Faces lie back to back when they agree to this angle, rad, as cells are compiled. */
const PARALLEL = 1e-6;
/** A joint shorter than this share of the strip's thickness has no room for a reading at either end. */
const SHORTEST = 0.02;

/** Why two faces are no joint: turned, apart or over each other, or side by side without reaching each other. */
export function meetingFault(path: JobPath, name: string, a: Edge, b: Edge, strip: number): PatternFault[] {
  const rule = "the two faces of a joint lie on one line and on each other";
  const normal = direction(a.face.angle);
  const along = direction(a.face.angle + Math.PI / 2);
  const ends = [b.segment.from, b.segment.to];
  const away = ends.map((p) => dot(normal, sub(p, a.segment.from)));
  const places = ends.map((p) => dot(along, sub(p, a.segment.from)));
  const low = Math.max(0, Math.min(...places));
  const high = Math.min(a.segment.length, Math.max(...places));
  const [from, to] = [low, high].map((s) => add(a.segment.from, scale(along, s))) as [Vec, Vec];
  const reaches = high - low > TOUCHING * strip;
  const marks = reaches ? [from, to] : [middle([a.segment.from, a.segment.to]), middle(ends)];
  const turn = turnBetween(a.face.angle, b.face.angle);
  if (Math.abs(turn) > PARALLEL)
    return [
      fault(
        path,
        `joint ${name}`,
        `the faces are ${degreesText(Math.abs(turn))} from parallel, ${stretch(away)}`,
        rule,
        marks,
      ),
    ];
  const off = (away[0]! + away[1]!) / 2;
  if (Math.abs(off) > TOUCHING * strip)
    return [
      fault(
        path,
        `joint ${name}`,
        off > 0 ? `the faces stand ${mm(off)} apart` : `the faces lie ${mm(-off)} over each other`,
        rule,
        marks,
      ),
    ];
  const length = high - low;
  if (length < -TOUCHING * strip)
    return [
      fault(
        path,
        `joint ${name}`,
        `the faces are on one line but ${mm(-length)} short of each other`,
        rule,
        marks,
      ),
    ];
  if (length > SHORTEST * strip) return [];
  return [
    fault(
      path,
      name,
      `the faces meet over ${mm(Math.max(0, length))} only`,
      `a joint has room for a reading at each end: ${mm(SHORTEST * strip)} at least`,
      marks,
    ),
  ];
}

/** Less than this is rounding, mm. */
const NOTHING = 1e-7;

function stretch(away: readonly number[]): string {
  const [a, b] = [Math.min(...away), Math.max(...away)] as [number, number];
  const text = (x: number): string =>
    Math.abs(x) < NOTHING ? "touching" : x < 0 ? `${mm(-x)} over each other` : `${mm(x)} apart`;
  return `${text(a)} at one end and ${text(b)} at the other`;
}

/** How far two faces are from lying back to back, rad. */
function turnBetween(a: number, b: number): number {
  const turn = a - b - Math.PI;
  return Math.atan2(Math.sin(turn), Math.cos(turn));
}
