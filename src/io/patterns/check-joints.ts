import { add, direction, dot, type Segment, scale, sub, type Vec } from "../../core/geometry.js";
import { at, present } from "../../core/numeric/dense.js";
import type { Arrangement, Wall } from "../../model/cell/arrangement.js";
import type { Face } from "../../model/cell/cell.js";
import { facesNamed } from "../../model/cell/face-id.js";
import { degreesText, faultSentence, nearest } from "../faults.js";
import type { KeyPath } from "../yaml/yaml-source.js";
import type { Pattern, PatternFault } from "./pattern.js";

/** Faults of listed joints that are not joints. */
export function jointFaults(
  pattern: Pattern,
  arrangement: Arrangement,
  edges: ReadonlyMap<string, FaceEdge>,
): PatternFault[] {
  return pattern.joints.flatMap((name, i): PatternFault[] => {
    const path: KeyPath = ["joints", i];
    if (pattern.joints.indexOf(name) < i)
      return [fault(path, `joint ${name}`, "it is listed twice", "each joint is listed once")];
    const sides = facesNamed(name);
    if (sides.length !== 2)
      return [
        fault(
          path,
          `joint ${name}`,
          "this is no joint",
          "a joint is two faces with a bar between: hinge-1.end-right|hinge-2.end-left",
        ),
      ];
    const missing = sides.find((side) => !edges.has(side));
    if (missing !== undefined) {
      const near = nearest(missing, [...edges.keys()]);
      const guess = near ? `did you mean ${near}? ` : "";
      return [
        fault(
          path,
          `joint ${name}`,
          `there is no face ${missing}`,
          `${guess}${guess ? "A" : "a"} face is a wall, or a piece and one of left, right, start-left, start-right, end-left, end-right`,
        ),
      ];
    }
    return meetingFault(
      path,
      name,
      present(edges.get(at(sides, 0))),
      present(edges.get(at(sides, 1))),
      arrangement.strip,
    );
  });
}

/** Angle within which faces count as back to back, rad; the same as when cells are compiled. */
const PARALLEL = 1e-6;
/** Shortest joint with room for a reading at each end, as a share of the strip's thickness. */
const SHORTEST = 0.02;

/** Why two faces are not a joint: not parallel, apart or overlapping, or on one line without reaching each other. */
function meetingFault(path: KeyPath, name: string, a: FaceEdge, b: FaceEdge, strip: number): PatternFault[] {
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
  const off = (at(away, 0) + at(away, 1)) / 2;
  if (Math.abs(off) > TOUCHING * strip)
    return [
      fault(
        path,
        `joint ${name}`,
        off > 0 ? `the faces are ${mm(off)} apart` : `the faces lie ${mm(-off)} over each other`,
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

/** Smaller lengths are rounding, mm. */
const NOTHING = 1e-7;

function stretch(away: readonly number[]): string {
  const [a, b] = [Math.min(...away), Math.max(...away)] as [number, number];
  const text = (x: number): string =>
    Math.abs(x) < NOTHING ? "touching" : x < 0 ? `${mm(-x)} over each other` : `${mm(x)} apart`;
  return `${text(a)} at one end and ${text(b)} at the other`;
}

/** Angle by which two faces differ from back to back, rad. */
function turnBetween(a: number, b: number): number {
  const turn = a - b - Math.PI;
  return Math.atan2(Math.sin(turn), Math.cos(turn));
}

/** Distance within which faces coincide, as a share of the strip's thickness; the same as when cells are compiled. */
export const TOUCHING = 1e-7;

/** A face of a piece or a wall, and the segment of it that remains. */
export interface FaceEdge {
  readonly face: Face;
  readonly segment: Segment;
}

/** The segment of a wall. Its `to` end lies clockwise along its face. */
export function wallSegment({ middle, normal, halfLength }: Wall): Segment {
  const along = scale(direction(normal + Math.PI / 2), halfLength);
  return { from: sub(middle, along), to: add(middle, along), length: 2 * halfLength };
}

/** The middle of points. */
export const middle = (corners: readonly Vec[]): Vec => scale(corners.reduce(add), 1 / corners.length);

/** A length as written in faults. */
export const mm = (length: number): string =>
  `${Math.abs(length) < 1e-4 ? length.toExponential(1) : length.toFixed(4)} mm`;

/** A fault of a pattern, with the places to mark in its drawing. */
export const fault = (
  path: KeyPath,
  what: string,
  problem: string,
  rule: string,
  marks: readonly Vec[] = [],
): PatternFault => ({ path, sentence: faultSentence({ what, problem, rule }), marks });
