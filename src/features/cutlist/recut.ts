import { dot, type HalfPlane, halfPlaneThrough, polygonOf, type Vec, vec } from "../../core/geometry.js";
import type { Piece } from "../../model/cell/arrangement.js";
import { pieceFaces } from "../../model/cell/cell.js";

/** How a piece can be cut out of another of the same stock. */
export interface Recut {
  readonly from: string;
  readonly to: string;
  /** The end of the new piece whose faces are there already; `null` when both are cut anew. */
  readonly kept: "start" | "end" | null;
  /** Groups of cuts to be made anew. */
  readonly anew: readonly string[];
  /** What the larger piece has over, along its length, mm: it may be short by as much less the wood that each new cut takes. */
  readonly room: number;
}

/** Wood that a cut made anew must find, mm. Common practice, no source. */
export const FRESH_WOOD = 1;
/** Faces that agree to this are one face, mm. */
const SAME = 1e-6;

/**
 * Whether the smaller piece lies within the larger one: its corners, moved along the strip, turned end for end or face down, must all lie inside every face of the larger. An end
 * of which all faces coincide then is kept. `null` when the smaller does not fit, or has no wood left to cut its new faces from.
 *
 * @param strip thickness of both, mm
 */
export function recut(larger: Piece, smaller: Piece, strip: number): Recut | null {
  const faces = planesOf(larger, strip);
  const corners = polygonOf(planesOf(smaller, strip));
  let best: Recut | null = null;
  for (const along of [1, -1] as const)
    for (const across of [1, -1] as const) {
      const turned = corners.map(({ x, y }) => vec(along * x, across * y));
      const [low, high] = shifts(faces, turned);
      const room = high - low;
      if (!(room > 0)) continue;
      for (const shift of [low, high])
        for (const end of [-1, 1] as const) {
          const kept = keepsEnd(larger, smaller, { along, across, shift }, end) ? end : null;
          const found = recutOf(larger, smaller, kept, room);
          if (found.room >= FRESH_WOOD * (kept === null ? 2 : 1) && isBetter(found, best)) best = found;
        }
    }
  return best;
}

/** Fewer cuts anew are better; of equal ones those that leave the start, whose other end has the stop. */
function isBetter(found: Recut, best: Recut | null): boolean {
  const rank = ({ kept }: Recut): number => (kept === "start" ? 2 : kept === "end" ? 1 : 0);
  return best === null || rank(found) > rank(best);
}

function recutOf(larger: Piece, smaller: Piece, kept: -1 | 1 | null, room: number): Recut {
  const anew = smaller.cuts.filter(({ end }) => end !== kept).map(({ group }) => group);
  return {
    from: larger.kind,
    to: smaller.kind,
    room,
    kept: kept === null ? null : kept === -1 ? "start" : "end",
    anew: [...new Set(anew)],
  };
}

/** Faces of a piece in its own frame. */
function planesOf(piece: Piece, strip: number): HalfPlane[] {
  const straight = { ...piece, origin: vec(0, 0), axis: 0 };
  return pieceFaces(straight, 0, strip).map(({ angle, offset }) =>
    halfPlaneThrough(angle, vec(offset * Math.cos(angle), offset * Math.sin(angle))),
  );
}

/** How far corners may be moved along the strip and stay inside all faces: least and most, mm. */
function shifts(faces: readonly HalfPlane[], corners: readonly Vec[]): [number, number] {
  let [low, high] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  for (const { normal, offset } of faces)
    for (const corner of corners) {
      const space = offset - dot(normal, corner);
      if (Math.abs(normal.x) < SAME) {
        if (space < -SAME) return [0, Number.NEGATIVE_INFINITY];
      } else if (normal.x > 0) high = Math.min(high, space / normal.x);
      else low = Math.max(low, space / normal.x);
    }
  return [low, high];
}

interface Placed {
  readonly along: -1 | 1;
  readonly across: -1 | 1;
  readonly shift: number;
}

/** Whether every face at an end of the smaller piece coincides there with one of the larger. */
function keepsEnd(larger: Piece, smaller: Piece, { along, across, shift }: Placed, end: -1 | 1): boolean {
  return smaller.cuts
    .filter((cut) => cut.end === end)
    .every((cut) =>
      larger.cuts.some(
        (face) =>
          face.end === along * cut.end &&
          (face.side === across * cut.side || cut.jigAngle === 0) &&
          Math.abs(face.jigAngle - cut.jigAngle) < SAME &&
          // Where both cross the axis, counted from the larger piece's middle towards its end.
          Math.abs(face.reach - (cut.reach + face.end * shift)) < SAME,
      ),
    );
}
