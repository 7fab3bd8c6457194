import { UserError } from "../../core/errors.js";
import { add, DEGREE, direction, scale, type Vec, vec } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import { rounded } from "../../core/text.js";
import {
  type Arrangement,
  type Cut,
  cut,
  type Piece,
  type Pin,
  pointCuts,
  type Wall,
} from "./arrangement.js";
import { CLOSING_SEAT_SHARE } from "./asanoha-square.js";

/**
 * A bench for a trial piece: `corner-90` is a reference corner of 90° for a point of two equal cuts, `corner-36.87` one of 36.87°.
 * `cell` (the whole cell) is the pattern itself.
 */
export type BenchName = `corner-${number}` | "straightedge" | "mitre-pair" | "reversal" | "ring";

/** The benches of the square asanoha; `benchNames` lists those of any pattern. */
export const BENCH_NAMES = [
  "corner-90",
  "corner-45",
  "straightedge",
  "mitre-pair",
  "reversal",
  "ring",
] as const satisfies readonly BenchName[];

const SAME_ANGLE = 1e-9;
const degrees = (angle: number): string => `${Number(((angle * 180) / Math.PI).toFixed(4))}°`;

/** The corner that a point with two cuts of this jig angle (rad) fits, named to a hundredth of a degree. */
export const cornerName = (jigAngle: number): `corner-${number}` =>
  `corner-${Number((180 - (360 * jigAngle) / Math.PI).toFixed(2))}`;

const CORNER = "corner-";

/** Jig angle that a bench needs, rad; `null` when it takes any angle. */
function jigAngleWanted(name: BenchName): number | null {
  if (name === "reversal") return Math.PI / 4;
  return name.startsWith(CORNER) ? ((180 - Number(name.slice(CORNER.length))) * Math.PI) / 360 : null;
}

/**
 * The bench of that name for a trial piece.
 *
 * @throws UserError (code "cell") when the strip is not longer than zero, or the bench does not suit the jig's angle.
 * @example
 * benchNamed("corner-90", { strip: 3, jigAngle: Math.PI / 4 }).pieces.length // 1
 */
export function benchNamed(name: BenchName, options: BenchOptions): Bench {
  requireOptions(name, options);
  const wanted = jigAngleWanted(name);
  // A corner's name gives its angle to a hundredth of a degree.
  const suits =
    wanted === null ||
    (name === "reversal"
      ? Math.abs(options.jigAngle - wanted) <= SAME_ANGLE
      : cornerName(options.jigAngle) === name);
  if (wanted !== null && !suits) {
    throw new UserError(
      "cell",
      `The bench ${name} takes a point cut at ${degrees(wanted)}; this jig is labelled ${degrees(options.jigAngle)}.`,
    );
  }
  if (name.startsWith(CORNER)) return cornerBench(name, options);
  if (name === "straightedge") return straightedgeBench(options);
  if (name === "mitre-pair") return mitrePairBench(options);
  if (name === "reversal") return fanBench(name, 2, options);
  return fanBench(name, ringCount(options.jigAngle), options);
}

/** Steepest bevel that still fits on the trial stub, rad. */
const STEEPEST = 80 * DEGREE;
/** Smallest bevel angle that makes a mitre, rad. */
const FLATTEST_MITRE = DEGREE;

function requireOptions(name: BenchName, { strip, jigAngle }: BenchOptions): void {
  if (!(Number.isFinite(strip) && strip > 0)) {
    throw new UserError("cell", `The strip must be a length greater than zero; it is ${rounded(strip)} mm.`);
  }
  const flattest = name === "mitre-pair" ? FLATTEST_MITRE : 0;
  if (!(jigAngle >= flattest && jigAngle <= STEEPEST)) {
    throw new UserError(
      "cell",
      `The bench ${name} takes a jig labelled from ${degrees(flattest)} to ${degrees(STEEPEST)}, counted from a square cut; this one is labelled ${degrees(jigAngle)}.`,
    );
  }
}

function ringCount(jigAngle: number): number {
  const count = (2 * Math.PI) / (Math.PI - 2 * jigAngle);
  const whole = Math.round(count);
  if (whole >= 3 && Math.abs(count - whole) < SAME_ANGLE) return whole;
  throw new UserError(
    "cell",
    `Points cut at ${degrees(jigAngle)} do not fill a full turn a whole number of times, so they make no ring. 45° takes four, 67.5° eight.`,
  );
}

/**
 * The benches on which a pattern's cuts can be tried: a corner for every point of two equal cuts, then those for single cuts and for several points.
 *
 * @example
 * benchNames(asanohaSquare({ opening: 60, strip: 3 })).includes("corner-90") // true
 */
export function benchNames({ pieces }: Arrangement): BenchName[] {
  const cuts = pieces.flatMap((piece) => piece.cuts);
  const pairs = pieces.flatMap((piece) =>
    ([-1, 1] as const).flatMap((end): Cut[] => {
      const [a, b] = piece.cuts.filter((cut) => cut.end === end);
      return a && b && a.group === b.group ? [a] : [];
    }),
  );
  const points = [...pairs.filter(({ role }) => role === "point"), ...pairs];
  return [
    ...new Set(points.map(({ jigAngle }) => cornerName(jigAngle))),
    "straightedge",
    ...(cuts.some(({ role }) => role === "mitre") ? (["mitre-pair"] as const) : []),
    ...["reversal" as const, "ring" as const],
  ];
}

export const RIGHT_ANGLE = Math.PI / 2;

/** Data of the trial piece that a bench needs. */
export interface BenchOptions {
  /** Strip thickness seen from the face, mm. */
  readonly strip: number;
  /** Nominal angle of the jig under trial, rad from a square cut. */
  readonly jigAngle: number;
  /** For a mitre: share of the strip that the other cut of that end takes; default that of the square asanoha's seat. */
  readonly seatShare?: number;
}

/** Length of a trial piece from its tip to its square end, in strip thicknesses. No bench touches the square end. */
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

/** A bench: an arrangement in which a trial piece is tried. */
export type Bench = Arrangement;

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
    referenceWall: "reference-left",
    jointCount: 2,
  };
}

/**
 * `count` equal points side by side about one centre, the first lying on a straight line. All joints are pressed together except the last, to which the last point
 * is only slid up. That joint shows `count` times the error of one point: at its heel when the points are too sharp, at its toe when they are too blunt. It is read against the same line when the points fill half a turn (`reversal` is two 45/45 points), and against the first point when they fill a full turn.
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
  // Each point lies on the face before it. The closing joint keeps the last point from sliding along that face, a pin keeps each of the others.
  const pins = names.slice(0, -1).map((piece, i): Pin => ({ piece, at: ORIGIN, stops: i * wedge }));
  const last = at(names, count - 1);
  const closing = fullTurn ? `point-1.start-right|${last}.start-left` : `${last}.start-left|line`;
  return { name, strip, walls, pieces, pins, unpressed: [closing], jointCount: count + 1 };
}

/** Two hinge ends mitre to mitre, each with the side that its mitre faces against a fence at the cell's angle. A pin keeps the pair from sliding away. */
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
    referenceWall: "fence-b",
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
    referenceWall: "straightedge",
    jointCount: 2,
  };
}

/** A hinge's end (mitre and seat) with its tip at `tip`, pointing along `axis`; `mitreSide` is the side that the mitre faces. */
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
