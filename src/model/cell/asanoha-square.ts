import { UserError } from "../../core/errors.js";
import {
  add,
  DEGREE,
  direction,
  distance,
  incentre,
  scale,
  sub,
  type Vec,
  vec,
} from "../../core/geometry.js";
import { rounded } from "../../core/text.js";
import { type Arrangement, cut, type Piece, pointCuts, type Wall } from "./arrangement.js";

/** Trade angles of the pattern, rad, counted from a square cut; common practice, no source. */
export const ASANOHA_ANGLES = { point45: 45 * DEGREE, point67: 67.5 * DEGREE, bevel22: 22.5 * DEGREE };

/**
 * Share of the strip's thickness, measured across it, that the seat must take for the key's shoulder to meet the hinge's edge:
 * cos 22.5° / √2 = 0.6533. Common practice (no source) takes off two thirds.
 */
export const CLOSING_SEAT_SHARE = Math.cos(ASANOHA_ANGLES.bevel22) / Math.SQRT2;

/** Sizes of a square asanoha cell. */
export interface AsanohaSquareOptions {
  /** Clear side of the square opening, mm, > 0. */
  readonly opening: number;
  /** Strip thickness seen from the face, mm, > 0. */
  readonly strip: number;
  /** Share of the thickness that the seat takes, between 0 and 1; default {@link CLOSING_SEAT_SHARE}. */
  readonly seatShare?: number;
}

/**
 * The square asanoha cell: a diagonal, and in each of the two right triangles beside it two hinges and a key.
 *
 * @throws UserError (code "cell") when a size is not positive or the seat's share is not between 0 and 1.
 * @example
 * asanohaSquare({ opening: 60, strip: 3 }).pieces.length // 7
 */
export function asanohaSquare(options: AsanohaSquareOptions): Arrangement {
  const { opening, strip, seatShare = CLOSING_SEAT_SHARE } = options;
  requireSizes(opening, strip, seatShare);
  const inset = strip / Math.SQRT2;
  const upper = triangle(vec(0, inset), vec(opening - inset, opening), vec(0, opening));
  const lower = triangle(vec(inset, 0), vec(opening, opening - inset), vec(opening, 0));
  return {
    name: "asanoha-square",
    strip,
    walls: squareWalls(opening),
    pieces: [
      diagonal(opening),
      hinge("hinge-1", upper.first, upper, "left", strip, seatShare),
      hinge("hinge-2", upper.second, upper, "right", strip, seatShare),
      key("key-1", upper, strip, seatShare),
      hinge("hinge-3", lower.first, lower, "right", strip, seatShare),
      hinge("hinge-4", lower.second, lower, "left", strip, seatShare),
      key("key-2", lower, strip, seatShare),
    ],
    jointCount: 22,
    stages: [["diagonal"], ["hinge-1", "hinge-2", "hinge-3", "hinge-4"], ["key-1", "key-2"]],
  };
}

function requireSizes(opening: number, strip: number, seatShare: number): void {
  for (const [name, value] of Object.entries({ opening, strip })) {
    if (!(Number.isFinite(value) && value > 0)) {
      throw new UserError(
        "cell",
        `The ${name} must be a length greater than zero; it is ${rounded(value)} mm.`,
      );
    }
  }
  if (!(seatShare > 0 && seatShare < 1)) {
    throw new UserError(
      "cell",
      `The seat's share of the strip must lie between 0 and 1; it is ${seatShare}. Write 0.6533 for the share that closes.`,
    );
  }
}

function squareWalls(opening: number): Wall[] {
  const half = opening / 2;
  const wall = (name: string, x: number, y: number, degrees: number): Wall => ({
    name,
    middle: vec(x, y),
    normal: degrees * DEGREE,
    halfLength: half,
  });
  return [
    wall("wall-left", 0, half, 0),
    wall("wall-bottom", half, 0, 90),
    wall("wall-top", half, opening, -90),
    wall("wall-right", opening, half, 180),
  ];
}

/** One of the two right triangles: the corners where the hinges start, the right angle where the key starts, and the centre. */
interface Triangle {
  readonly first: Vec;
  readonly second: Vec;
  readonly corner: Vec;
  readonly centre: Vec;
}

function triangle(first: Vec, second: Vec, corner: Vec): Triangle {
  return { first, second, corner, centre: incentre(first, second, corner) };
}

function diagonal(opening: number): Piece {
  const length = opening * Math.SQRT2;
  const angle = { jigAngle: ASANOHA_ANGLES.point45, reach: length / 2 };
  return {
    name: "diagonal",
    kind: "diagonal",
    origin: vec(opening / 2, opening / 2),
    axis: 45 * DEGREE,
    length,
    cuts: [
      ...pointCuts("start", { ...angle, group: "diagonal.start" }),
      ...pointCuts("end", { ...angle, group: "diagonal.end" }),
    ],
  };
}

function hinge(
  name: string,
  start: Vec,
  { centre }: Triangle,
  seatSide: "left" | "right",
  strip: number,
  seatShare: number,
): Piece {
  const jigAngle = ASANOHA_ANGLES.bevel22;
  const axis = Math.atan2(centre.y - start.y, centre.x - start.x);
  // The mitre's line crosses the axis at the centre; its end point lies off the axis, away from the seat.
  const toCentre = distance(start, centre);
  const shift = (seatShare - 0.5) * strip * Math.tan(jigAngle);
  const length = toCentre - shift;
  const mitreSide = seatSide === "left" ? "right" : "left";
  const mitre = cut(`end-${mitreSide}`, {
    jigAngle,
    reach: toCentre - length / 2,
    role: "mitre",
    group: "hinge.mitre",
  });
  const seat = cut(`end-${seatSide}`, {
    jigAngle,
    reach: toCentre - 2 * shift - length / 2,
    role: "seat",
    group: "hinge.seat",
  });
  return {
    name,
    kind: "hinge",
    origin: add(start, scale(direction(axis), length / 2)),
    axis,
    length,
    cuts: [
      ...pointCuts("start", { jigAngle: ASANOHA_ANGLES.point67, reach: length / 2, group: "hinge.point" }),
      ...(seatSide === "left" ? [seat, mitre] : [mitre, seat]),
    ],
  };
}

function key(name: string, { corner, centre }: Triangle, strip: number, seatShare: number): Piece {
  // The two seats meet in a notch on the triangle's axis of symmetry, beyond its centre as seen from the key's corner.
  const length = distance(corner, centre) + ((seatShare - 0.5) * strip) / Math.cos(ASANOHA_ANGLES.bevel22);
  const towards = sub(centre, corner);
  const axis = Math.atan2(towards.y, towards.x);
  const angle = { jigAngle: ASANOHA_ANGLES.point45, reach: length / 2 };
  return {
    name,
    kind: "key",
    origin: add(corner, scale(direction(axis), length / 2)),
    axis,
    length,
    cuts: [
      ...pointCuts("start", { ...angle, group: "key.start" }),
      ...pointCuts("end", { ...angle, group: "key.end" }),
    ],
  };
}

/**
 * For an end that has a mitre of one of these groups: share of the strip, measured across it, that the other cut takes; 0.5 when the tip is on the axis.
 * `undefined` when none of them is a mitre.
 */
export function mitreShare({ pieces, strip }: Arrangement, groups: readonly string[]): number | undefined {
  for (const { cuts } of pieces) {
    const mitre = cuts.find(({ group, role }) => role === "mitre" && groups.includes(group));
    const other = cuts.find(({ end, face }) => end === mitre?.end && face !== mitre?.face);
    if (!mitre || !other) continue;
    // The cuts cross at the tip: x = reach − side·y·tan J for both.
    const slope = mitre.side * Math.tan(mitre.jigAngle) - other.side * Math.tan(other.jigAngle);
    return 0.5 + (mitre.side * (mitre.reach - other.reach)) / slope / strip;
  }
  return undefined;
}
