import { faceSegments, type Segment } from "../../geometry/face-segments.js";
import { overlapDepth, polygonOf } from "../../geometry/polygon.js";
import { add, direction, distance, dot, scale, sub, type Vec } from "../../geometry/vector.js";
import type { Arrangement, Cut, Wall } from "../../lattice/arrangement.js";
import type { Face } from "../../lattice/cell.js";
import { compileCell } from "../../lattice/compile-cell.js";
import { facePlane, pieceFaces, wallFace } from "../../lattice/piece-faces.js";
import { cellModel } from "../../predict/cell-model.js";
import { SeatingError } from "../../seating/seating-model.js";
import { degreesText } from "../degrees-text.js";
import type { JobPath } from "../file/job-source.js";
import { faultSentence } from "../unfit.js";
import { nearest } from "../words.js";
import type { Pattern } from "./pattern.js";
import type { PatternFault } from "./pattern-fault.js";

/** Faces coincide when they agree to this share of the strip's thickness, and to this angle (rad), as cells are compiled. */
const TOUCHING = 1e-7;
const PARALLEL = 1e-6;
/** A joint shorter than this share of the strip's thickness has no room for a reading at either end. */
const SHORTEST = 0.02;

interface Edge {
  readonly face: Face;
  readonly segment: Segment;
}

/**
 * Everything of a pattern at certain sizes that does not meet: faces that vanish, a tip that is not where the length says, walls that are no
 * opening, pieces over walls or each other, joints whose faces do not lie on each other or that are not listed, pieces that nothing holds.
 * Empty when the cell can be built.
 */
export function checkPattern(pattern: Pattern, arrangement: Arrangement): PatternFault[] {
  const faces = arrangement.pieces.map((piece, body) => pieceFaces(piece, body, arrangement.strip));
  const edges = new Map<string, Edge>();
  const faults: PatternFault[] = [...wallFaults(arrangement.walls, arrangement.strip)];
  for (const wall of arrangement.walls)
    edges.set(wall.name, { face: wallFace(wall), segment: wallSegment(wall) });
  for (const [body, own] of faces.entries())
    faults.push(...pieceFaults(pattern, arrangement, body, own, edges));
  if (faults.length > 0) return faults;
  const polygons = faces.map((own) => polygonOf(own.map(facePlane)));
  const joints = jointFaults(pattern, arrangement, edges);
  // A joint that is pressed says more than that its pieces overlap.
  const told = joints.map(({ path }) => pattern.joints[Number(path[1])]?.split("|").map(ownerOf) ?? []);
  const overlaps = overlapFaults(arrangement, polygons).filter(
    ({ pair }) => !told.some((owners) => pair.every((piece) => owners.includes(piece))),
  );
  faults.push(...tipFaults(arrangement), ...joints, ...overlaps.map(({ fault }) => fault));
  faults.push(...outsideFaults(arrangement, polygons));
  return faults.length > 0 ? faults : cellFaults(pattern, arrangement);
}

const mm = (length: number): string =>
  `${Math.abs(length) < 1e-4 ? length.toExponential(1) : length.toFixed(4)} mm`;

const fault = (
  path: JobPath,
  what: string,
  problem: string,
  rule: string,
  marks: readonly Vec[] = [],
): PatternFault => ({ path, sentence: faultSentence({ what, problem, rule }), marks });

function wallSegment({ middle, normal, halfLength }: Wall): Segment {
  const along = scale(direction(normal + Math.PI / 2), halfLength);
  return { from: sub(middle, along), to: add(middle, along), length: 2 * halfLength };
}

/** Walls follow each other round a convex opening, in any order of the file. A wall's `to` end lies clockwise along its face. */
function wallFaults(walls: readonly Wall[], strip: number): PatternFault[] {
  return walls.flatMap((wall): PatternFault[] => {
    const end = wallSegment(wall).from;
    const gaps = walls.map((other) =>
      other === wall ? Number.POSITIVE_INFINITY : distance(wallSegment(other).to, end),
    );
    const least = Math.min(...gaps);
    if (least > TOUCHING * strip)
      return [
        fault(
          ["walls", wall.name, "to"],
          wall.name,
          `no wall begins where it ends; the nearest is ${mm(least)} off`,
          "the walls run round the opening counter-clockwise, each from the corner where another ends",
          [end],
        ),
      ];
    const next = walls[gaps.indexOf(least)]!;
    const turn = Math.sin(next.normal - wall.normal);
    if (turn > 1e-9) return [];
    return [
      fault(
        ["walls", next.name],
        next.name,
        "the opening does not turn left at its start",
        "the walls run round the opening counter-clockwise, and every corner is less than 180°",
        [end],
      ),
    ];
  });
}

/** Key of a piece's cut in the pattern file. */
function cutPath(pattern: Pattern, { kind, name }: { kind: string; name: string }, cut: Cut): JobPath {
  const mirrored = pattern.pieces.find((piece) => piece.name === name)?.mirrored;
  const swapped = cut.face.endsWith("left")
    ? cut.face.replace("left", "right")
    : cut.face.replace("right", "left");
  const made = pattern.kinds
    .find((one) => one.name === kind)
    ?.cuts.find(({ face }) => face === (mirrored ? swapped : cut.face));
  return ["kinds", kind, "cuts", made?.key ?? cut.face];
}

function pieceFaults(
  pattern: Pattern,
  { pieces }: Arrangement,
  body: number,
  own: readonly Face[],
  edges: Map<string, Edge>,
): PatternFault[] {
  const piece = pieces[body]!;
  const faults: PatternFault[] = [];
  for (const [i, segment] of faceSegments(own.map(facePlane)).entries()) {
    const face = own[i]!;
    if (segment !== null && Number.isFinite(segment.length)) edges.set(face.name, { face, segment });
    else
      faults.push(
        fault(
          face.cut ? cutPath(pattern, piece, face.cut) : ["pieces", piece.name],
          `face ${face.name}`,
          "nothing is left of it: the other faces of the piece cut it away",
          "look at its angle and at where the cuts cross the axis",
          [piece.origin],
        ),
      );
  }
  return faults;
}

/** `hinge-1` of `hinge-1.end-left`. */
const ownerOf = (face: string): string => face.split(".")[0]!;

/** Kinds whose cuts do not meet where their length ends. */
function tipFaults({ pieces, strip }: Arrangement): PatternFault[] {
  return [...new Set(pieces.map(({ kind }) => kind))].flatMap((kind) => {
    const own = pieces.filter((piece) => piece.kind === kind);
    return ([-1, 1] as const).flatMap((end): PatternFault[] => {
      const [a, b] = own[0]!.cuts.filter((cut) => cut.end === end);
      const tip = tipOf(a!, b!);
      const wrong = tip - own[0]!.length / 2;
      if (Math.abs(wrong) <= TOUCHING * strip) return [];
      const where = `${mm(Math.abs(wrong))} ${wrong > 0 ? "beyond" : "short of"} where its length ends`;
      return [
        fault(
          ["kinds", kind, "length"],
          `kind ${kind}`,
          `the tip at its ${end === -1 ? "start" : "end"}, where its two cuts meet, lies ${where}`,
          "the length is from tip to tip, along the axis",
          own.map(({ origin, axis }) => add(origin, scale(direction(axis), end * tip))),
        ),
      ];
    });
  });
}

/** How far from the origin along the axis the two cuts of an end meet, outwards. */
function tipOf(a: Cut, b: Cut): number {
  // Along cut a: x = reach_a − side·y·tan J_a, and likewise b, x counted outwards.
  const slopeA = a.side * Math.tan(a.jigAngle);
  const slopeB = b.side * Math.tan(b.jigAngle);
  if (slopeA === slopeB) return a.reach;
  const y = (a.reach - b.reach) / (slopeA - slopeB);
  return a.reach - y * slopeA;
}

function overlapFaults(
  { pieces, strip }: Arrangement,
  polygons: readonly (readonly Vec[])[],
): { readonly pair: readonly string[]; readonly fault: PatternFault }[] {
  return polygons.flatMap((a, i) =>
    polygons.slice(0, i).flatMap((b, k) => {
      const depth = overlapDepth(a, b);
      if (depth <= TOUCHING * strip) return [];
      const inside = [...a.filter((p) => isInside(p, b)), ...b.filter((p) => isInside(p, a))];
      const [first, second] = [pieces[k]!.name, pieces[i]!.name];
      const found = fault(
        ["pieces", second],
        `piece ${second}`,
        `it lies over ${first} by ${mm(depth)}`,
        "pieces lie side by side in one plane and only touch",
        inside.length > 0 ? inside : [middle(a)],
      );
      return [{ pair: [first, second], fault: found }];
    }),
  );
}

const middle = (corners: readonly Vec[]): Vec => scale(corners.reduce(add), 1 / corners.length);

function isInside(p: Vec, corners: readonly Vec[]): boolean {
  return corners.every((a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) > 0;
  });
}

function outsideFaults(
  { pieces, walls, strip }: Arrangement,
  polygons: readonly (readonly Vec[])[],
): PatternFault[] {
  return polygons.flatMap((corners, i) =>
    walls.flatMap(({ name, middle: on, normal }): PatternFault[] => {
      const rooms = corners.map((p) => dot(direction(normal), sub(p, on)));
      const least = Math.min(...rooms);
      if (least >= -TOUCHING * strip) return [];
      const piece = pieces[i]!.name;
      return [
        fault(
          ["pieces", piece],
          `piece ${piece}`,
          `it lies ${mm(-least)} beyond ${name}`,
          "the infill stays within its opening",
          corners.filter((_, k) => rooms[k]! < -TOUCHING * strip),
        ),
      ];
    }),
  );
}

function jointFaults(
  pattern: Pattern,
  arrangement: Arrangement,
  edges: ReadonlyMap<string, Edge>,
): PatternFault[] {
  return pattern.joints.flatMap((name, i): PatternFault[] => {
    const path: JobPath = ["joints", i];
    if (pattern.joints.indexOf(name) < i)
      return [fault(path, `joint ${name}`, "it is listed twice", "each joint is listed once")];
    const sides = name.split("|");
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
    return meetingFault(path, name, edges.get(sides[0]!)!, edges.get(sides[1]!)!, arrangement.strip);
  });
}

/** Why two faces are no joint: turned, apart or over each other, or side by side without reaching each other. */
function meetingFault(path: JobPath, name: string, a: Edge, b: Edge, strip: number): PatternFault[] {
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

/** What is left to go wrong when every listed joint meets: joints that are not listed, pieces that nothing holds. */
function cellFaults(pattern: Pattern, arrangement: Arrangement): PatternFault[] {
  const cell = compileCell({ ...arrangement, jointCount: null });
  const found = cell.joints.map(({ name }) => name);
  const faults = cell.joints.flatMap(({ name, toe, heel }): PatternFault[] => {
    if (pattern.joints.includes(name)) return [];
    const other = name.split("|").reverse().join("|");
    const at = pattern.joints.indexOf(other);
    if (at >= 0)
      return [
        fault(
          ["joints", at],
          `joint ${other}`,
          "it is written the other way round",
          `the face that is cut comes first, a point before a mitre before a seat, of two alike the earlier piece: ${name}`,
        ),
      ];
    return [
      fault(["joints"], "joints", `${name} is not listed`, "every two faces that touch are a joint", [
        toe,
        heel,
      ]),
    ];
  });
  for (const [i, name] of pattern.joints.entries())
    if (!found.includes(name) && !found.includes(name.split("|").reverse().join("|")))
      faults.push(
        fault(
          ["joints", i],
          `joint ${name}`,
          "no such joint is found",
          "the two faces of a joint lie on one line and on each other",
        ),
      );
  if (faults.length > 0) return faults;
  try {
    cellModel(cell);
  } catch (error) {
    if (!(error instanceof SeatingError)) throw error;
    const loose = cell.pieces.find(({ name }) => error.message.startsWith(`${name} `));
    const problem = "nothing holds it: it can slide or turn without any joint opening or closing";
    return [
      fault(
        ["pieces", loose?.name ?? ""],
        loose ? `piece ${loose.name}` : "pattern",
        problem,
        "give it faces that bear on walls or on other pieces in every direction",
        loose ? [loose.origin] : [],
      ),
    ];
  }
  return [];
}
