import { UserError } from "../../core/errors.js";
import {
  add,
  direction,
  dot,
  faceSegments,
  overlapDepth,
  polygonOf,
  type Segment,
  scale,
  sub,
  type Vec,
} from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import { rounded } from "../../core/text.js";
import type { Arrangement, Wall } from "./arrangement.js";
import {
  type Cell,
  type Face,
  facePlane,
  type Joint,
  type PinContact,
  pieceFaces,
  probesOfJoints,
  wallFace,
} from "./cell.js";
import { errorsOfFaces } from "./cell-errors.js";
import { faceName, jointOf } from "./face-id.js";

/** Two faces touch when their lines lie within this share of the strip's thickness of each other and their directions within this angle (rad). */
const TOUCHING = 1e-7;
const OPPOSITE = 1e-6;

/** A face and the segment of it that bounds its piece or wall. */
interface Edge {
  readonly index: number;
  readonly face: Face;
  readonly segment: Segment;
}

/**
 * Finds the faces and joints of an arrangement from its geometry and checks that it can be built.
 *
 * @throws UserError (code "cell") when the depth is not greater than zero, a face has vanished, pieces overlap, or joints are missing: the strip does not suit the opening; or when a pin or
 *         an unpressed joint names something that does not exist.
 * @example
 * compileCell(asanohaSquare({ opening: 60, strip: 3 })).joints.length // 22
 */
export function compileCell(arrangement: Arrangement): Cell {
  const { pieces, walls, strip, depth } = arrangement;
  if (depth !== undefined && !(Number.isFinite(depth) && depth > 0)) {
    throw new UserError(
      "cell",
      `The depth of the strips must be a length greater than zero; it is ${rounded(depth)} mm.`,
    );
  }
  const faces: Face[] = walls.map(wallFace);
  const bodies: Edge[][] = walls.map((wall, index) => [
    { index, face: at(faces, index), segment: wallSegment(wall) },
  ]);
  for (const [body, piece] of pieces.entries()) {
    const own = pieceFaces(piece, body, strip);
    bodies.push(edgesOf(own, faces.length, arrangement));
    faces.push(...own);
  }
  requireNoOverlap(arrangement, faces);
  const joints = bodies.flatMap((edges, i) =>
    i < walls.length ? [] : bodies.slice(0, i).flatMap((other) => touching(other, edges, arrangement)),
  );
  const { jointCount } = arrangement;
  if (jointCount !== null && joints.length !== jointCount) throw unsuitable(arrangement);
  for (const name of arrangement.unpressed ?? []) {
    if (!joints.some((joint) => joint.name === name)) throw unknown(arrangement, "joint", name);
  }
  const contacts = (arrangement.pins ?? []).map((pin): PinContact => {
    const body = pieces.findIndex((piece) => piece.name === pin.piece);
    if (body < 0) throw unknown(arrangement, "piece", pin.piece);
    const origin = at(pieces, body).origin;
    const offset = dot(direction(pin.stops), sub(pin.at, origin));
    const own: Face = {
      name: faceName({ owner: pin.piece, face: "pin" }),
      body,
      origin,
      angle: pin.stops,
      offset,
      kind: "pin",
    };
    const fixed: Face = {
      name: "pin",
      body: -1,
      origin: pin.at,
      offset: 0,
      kind: "pin",
      angle: pin.stops + Math.PI,
    };
    faces.push(own, fixed);
    return { first: faces.length - 2, mate: faces.length - 1, at: pin.at };
  });
  return {
    ...arrangement,
    faces,
    joints,
    contacts,
    probes: probesOfJoints(joints, depth),
    ...errorsOfFaces(arrangement, faces),
  };
}

function wallSegment(wall: Wall): Segment {
  const along = direction(wall.normal + Math.PI / 2);
  return {
    from: add(wall.middle, scale(along, -wall.halfLength)),
    to: add(wall.middle, scale(along, wall.halfLength)),
    length: 2 * wall.halfLength,
  };
}

function edgesOf(own: Face[], offset: number, arrangement: Arrangement): Edge[] {
  return faceSegments(own.map(facePlane)).map((segment, i) => {
    if (segment === null || !Number.isFinite(segment.length)) throw unsuitable(arrangement, at(own, i).name);
    return { index: offset + i, face: at(own, i), segment };
  });
}

function unsuitable(arrangement: Arrangement, face?: string): UserError {
  const why = face === undefined ? "its pieces would not meet as the pattern needs" : `${face} would vanish`;
  return new UserError(
    "cell",
    `The strip is too thick for this ${arrangement.name}: ${why}. Thickness ${rounded(arrangement.strip)} mm; use a thinner strip or a larger opening.`,
  );
}

const unknown = ({ name }: Arrangement, what: string, asked: string): UserError =>
  new UserError("cell", `${name} names a ${what} "${asked}" that it does not have.`);

function requireNoOverlap(arrangement: Arrangement, faces: readonly Face[]): void {
  const polygons = arrangement.pieces.map((_, body) =>
    polygonOf(faces.filter((face) => face.body === body).map(facePlane)),
  );
  for (const [i, a] of polygons.entries()) {
    for (const b of polygons.slice(0, i)) {
      if (overlapDepth(a, b) > TOUCHING * arrangement.strip) throw unsuitable(arrangement);
    }
  }
}

function touching(earlier: readonly Edge[], later: readonly Edge[], arrangement: Arrangement): Joint[] {
  return earlier.flatMap((a) => later.flatMap((b) => jointBetween(a, b, arrangement) ?? []));
}

/** Decides which of two faces is named first: points come first, then mitres, seats, plain sides and walls. */
const RANK = { point: 0, mitre: 1, seat: 2, square: 3 } as const;
const rankOf = (face: Face): number => (face.cut ? RANK[face.cut.role] : face.kind === "side" ? 4 : 5);

function jointBetween(earlier: Edge, later: Edge, arrangement: Arrangement): Joint | null {
  const normal = direction(earlier.face.angle);
  if (dot(normal, direction(later.face.angle)) > -1 + OPPOSITE ** 2 / 2) return null;
  if (Math.abs(dot(normal, sub(later.segment.from, earlier.segment.from))) > TOUCHING * arrangement.strip)
    return null;
  const [first, mate] = rankOf(later.face) < rankOf(earlier.face) ? [later, earlier] : [earlier, later];
  const ends = overlap(first, mate, arrangement.strip);
  if (ends === null) return null;
  const [toe, heel] = toeFirst(first.face, ends, arrangement);
  const name = jointOf(first.face.name, mate.face.name);
  return {
    name,
    first: first.index,
    mate: mate.index,
    toe,
    heel,
    length: Math.hypot(heel.x - toe.x, heel.y - toe.y),
    pressed: !arrangement.unpressed?.includes(name),
  };
}

/** Ends of the segment that both faces cover. A key's point is read over its whole face, whatever share its seat takes. */
function overlap(first: Edge, mate: Edge, strip: number): [Vec, Vec] | null {
  const along = direction(first.face.angle + Math.PI / 2);
  const place = (p: Vec): number => dot(along, sub(p, first.segment.from));
  const low = Math.max(0, place(mate.segment.to));
  const high = Math.min(first.segment.length, place(mate.segment.from));
  if (high - low <= TOUCHING * strip) return null;
  if (mate.face.cut?.role === "seat") return [first.segment.from, first.segment.to];
  const at = (s: number): Vec => add(first.segment.from, scale(along, s));
  return [at(low), at(high)];
}

/** The toe is the end nearer the axis. If both ends are equally far from it, the toe is on the side that a cut faces away from, or further towards the end of a plain side. */
function toeFirst(face: Face, ends: [Vec, Vec], { strip, pieces }: Arrangement): [Vec, Vec] {
  const axis = direction(at(pieces, face.body).axis);
  const seen = (p: Vec): { along: number; across: number } => {
    const r = sub(p, face.origin);
    return { along: dot(axis, r), across: axis.x * r.y - axis.y * r.x };
  };
  const [a, b] = [seen(ends[0]), seen(ends[1])];
  const level = Math.abs(Math.abs(a.across) - Math.abs(b.across)) <= TOUCHING * strip;
  const { cut } = face;
  const keep = !level
    ? Math.abs(a.across) < Math.abs(b.across)
    : cut
      ? cut.side * a.across < cut.side * b.across
      : a.along > b.along;
  return keep ? ends : [ends[1], ends[0]];
}
