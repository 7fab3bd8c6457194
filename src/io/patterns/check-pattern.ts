import { isUserError } from "../../core/errors.js";
import {
  add,
  direction,
  distance,
  dot,
  faceSegments,
  overlapDepth,
  polygonOf,
  scale,
  sub,
  type Vec,
} from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import type { Arrangement, Cut, Wall } from "../../model/cell/arrangement.js";
import { type Face, facePlane, pieceFaces, wallFace } from "../../model/cell/cell.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { facesNamed, ownerNamed, turnedJoint } from "../../model/cell/face-id.js";
import { cellModel } from "../../physics/predict/cell-model.js";
import { sentenceIn } from "../example-units.js";
import type { JobFault } from "../faults.js";
import type { KeyPath } from "../yaml/yaml-source.js";
import { arrangePattern } from "./arrange-pattern.js";
import { type FaceEdge, fault, jointFaults, middle, mm, TOUCHING, wallSegment } from "./check-joints.js";
import type { Pattern, PatternFault, PatternSizes } from "./pattern.js";

/**
 * All faults that keep a pattern from forming a cell at given sizes (by default the usual ones); empty when it closes. Their sentences name lengths in `units`.
 *
 * @example
 * patternFaults(findPattern("diamond")) // []
 */
export function patternFaults(
  pattern: Pattern,
  sizes: PatternSizes = {},
  units: LengthUnit = "mm",
): readonly PatternFault[] {
  const { arrangement, faults } = arrangePattern(pattern, sizes);
  const found = arrangement === null ? faults : checkPattern(pattern, arrangement);
  return found.map((one) => ({ ...one, sentence: sentenceIn(one.sentence, units) }));
}

/** The same with their places in the file. `draws`: the command that draws them, named in the message unless empty. */
export function faultsInFile(
  pattern: Pattern,
  faults: readonly PatternFault[],
  draws = `sukima pattern ${pattern.source.file} --out drawing.svg`,
): JobFault[] {
  const { source } = pattern;
  const right = draws === "" ? "faces that meet" : `faces that meet; “${draws}” marks the place`;
  return faults.map(({ path, sentence, example = right }) => source.fault(path, sentence, { example }));
}

/**
 * All geometric faults of a pattern at given sizes: faces that vanish, a tip that is not where the length says, walls that do not form an
 * opening, pieces that overlap walls or each other, joints whose faces do not meet or that are not listed, pieces that nothing holds.
 * Empty when the cell can be built.
 */
export function checkPattern(pattern: Pattern, arrangement: Arrangement): PatternFault[] {
  const faces = arrangement.pieces.map((piece, body) => pieceFaces(piece, body, arrangement.strip));
  const edges = new Map<string, FaceEdge>();
  const faults: PatternFault[] = [...wallFaults(arrangement.walls, arrangement.strip)];
  for (const wall of arrangement.walls)
    edges.set(wall.name, { face: wallFace(wall), segment: wallSegment(wall) });
  for (const [body, own] of faces.entries())
    faults.push(...pieceFaults(pattern, arrangement, body, own, edges));
  if (faults.length > 0) return faults;
  const polygons = faces.map((own) => polygonOf(own.map(facePlane)));
  const joints = jointFaults(pattern, arrangement, edges);
  // The fault of a pressed joint is more specific than that of overlapping pieces.
  const told = joints.map(({ path }) => facesNamed(pattern.joints[Number(path[1])] ?? "").map(ownerNamed));
  const overlaps = overlapFaults(arrangement, polygons).filter(
    ({ pair }) => !told.some((owners) => pair.every((piece) => owners.includes(piece))),
  );
  faults.push(...tipFaults(arrangement), ...joints, ...overlaps.map(({ fault }) => fault));
  faults.push(...outsideFaults(arrangement, polygons));
  return faults.length > 0 ? faults : cellFaults(pattern, arrangement);
}

/** Faults that remain when every listed joint meets: joints that are not listed, pieces that nothing holds. */
export function cellFaults(pattern: Pattern, arrangement: Arrangement): PatternFault[] {
  const cell = compileCell({ ...arrangement, jointCount: null });
  const found = cell.joints.map(({ name }) => name);
  const faults = cell.joints.flatMap(({ name, toe, heel }): PatternFault[] => {
    if (pattern.joints.includes(name)) return [];
    const other = turnedJoint(name);
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
    if (!found.includes(name) && !found.includes(turnedJoint(name)))
      faults.push(
        fault(
          ["joints", i],
          `joint ${name}`,
          "no such joint exists",
          "the two faces of a joint lie on one line and on each other",
        ),
      );
  if (faults.length > 0) return faults;
  try {
    cellModel(cell);
  } catch (error) {
    if (!isUserError(error, "seating")) throw error;
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

/** Faults of a piece's faces that its other faces cut away; the remaining faces are added to the edges. */
export function pieceFaults(
  pattern: Pattern,
  { pieces }: Arrangement,
  body: number,
  own: readonly Face[],
  edges: Map<string, FaceEdge>,
): PatternFault[] {
  const piece = at(pieces, body);
  const faults: PatternFault[] = [];
  for (const [i, segment] of faceSegments(own.map(facePlane)).entries()) {
    const face = at(own, i);
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

/** Key of a piece's cut in the pattern file. */
function cutPath(pattern: Pattern, { kind, name }: { kind: string; name: string }, cut: Cut): KeyPath {
  const mirrored = pattern.pieces.find((piece) => piece.name === name)?.mirrored;
  const swapped = cut.face.endsWith("left")
    ? cut.face.replace("left", "right")
    : cut.face.replace("right", "left");
  const made = pattern.kinds
    .find((one) => one.name === kind)
    ?.cuts.find(({ face }) => face === (mirrored ? swapped : cut.face));
  return ["kinds", kind, "cuts", made?.key ?? cut.face];
}

/** Faults of kinds whose cuts do not meet where their length ends. */
export function tipFaults({ pieces, strip }: Arrangement): PatternFault[] {
  return [...new Set(pieces.map(({ kind }) => kind))].flatMap((kind) => {
    const own = pieces.filter((piece) => piece.kind === kind);
    return ([-1, 1] as const).flatMap((end): PatternFault[] => {
      const [a, b] = at(own, 0).cuts.filter((cut) => cut.end === end);
      const tip = tipOf(a!, b!);
      const wrong = tip - at(own, 0).length / 2;
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

/** Outward distance along the axis from the origin to where the two cuts of an end meet. */
function tipOf(a: Cut, b: Cut): number {
  // Along cut a: x = reach_a − side·y·tan J_a, and likewise b, x counted outwards.
  const slopeA = a.side * Math.tan(a.jigAngle);
  const slopeB = b.side * Math.tan(b.jigAngle);
  if (slopeA === slopeB) return a.reach;
  const y = (a.reach - b.reach) / (slopeA - slopeB);
  return a.reach - y * slopeA;
}

/** Faults of walls that do not follow each other round a convex opening; their order in the file does not matter. */
export function wallFaults(walls: readonly Wall[], strip: number): PatternFault[] {
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
    const next = at(walls, gaps.indexOf(least));
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

/** Faults of pieces that lie beyond a wall. */
export function outsideFaults(
  { pieces, walls, strip }: Arrangement,
  polygons: readonly (readonly Vec[])[],
): PatternFault[] {
  return polygons.flatMap((corners, i) =>
    walls.flatMap(({ name, middle: on, normal }): PatternFault[] => {
      const rooms = corners.map((p) => dot(direction(normal), sub(p, on)));
      const least = Math.min(...rooms);
      if (least >= -TOUCHING * strip) return [];
      const piece = at(pieces, i).name;
      return [
        fault(
          ["pieces", piece],
          `piece ${piece}`,
          `it lies ${mm(-least)} beyond ${name}`,
          "the infill stays within its opening",
          corners.filter((_, k) => at(rooms, k) < -TOUCHING * strip),
        ),
      ];
    }),
  );
}

/** Faults of pieces that overlap. */
export function overlapFaults(
  { pieces, strip }: Arrangement,
  polygons: readonly (readonly Vec[])[],
): { readonly pair: readonly string[]; readonly fault: PatternFault }[] {
  return polygons.flatMap((a, i) =>
    polygons.slice(0, i).flatMap((b, k) => {
      const depth = overlapDepth(a, b);
      if (depth <= TOUCHING * strip) return [];
      const inside = [...a.filter((p) => isInside(p, b)), ...b.filter((p) => isInside(p, a))];
      const [first, second] = [at(pieces, k).name, at(pieces, i).name];
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

function isInside(p: Vec, corners: readonly Vec[]): boolean {
  return corners.every((a, i) => {
    const b = at(corners, (i + 1) % corners.length);
    return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) > 0;
  });
}
