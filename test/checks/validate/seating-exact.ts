import { createStream, type RandomStream } from "../../../src/core/numeric/random-stream.js";
import type { CutFace } from "../../../src/model/cell/arrangement.js";
import type { Cell, Joint } from "../../../src/model/cell/cell.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { PRESS_RATIO } from "../../../src/physics/seating/seating-model.js";
import { deepSquare, ORDINARY, randomErrors, SIZES, squareCell } from "./cells.js";
import { type Check, compareRows, type Row } from "./check.js";

const DRAWS = 5;
/** Steps of the differences, mm; a turn moves the ends of a piece by as much. */
const STEP = 1e-5;
/** How far from the bottom a rest may lie along any one coordinate, mm. */
const STILL = 1e-8;
/** Shares of the errors over which the two orders are compared. */
const SHARES = Array.from({ length: 8 }, (_, k) => 0.25 * 0.63 ** k);

/** Exact order: the rest lies at the bottom of the energy, and first order differs from it by the square of the errors. */
export function checks(): Check[] {
  return [
    ...compareRows(
      "rest",
      {
        document: "plane geometry",
        place: "gaps found where lines cross, by differences",
        kind: "self-consistency",
      },
      [
        ...SIZES.flatMap(([opening, strip]) => restRows(opening, strip)),
        ...restRows(60, 3, 12),
        ...restRows(48, 4, 20),
      ],
    ),
    ...compareRows(
      "orders",
      {
        document: "Taylor's theorem",
        place: "what first order leaves out grows with the square",
        kind: "self-consistency",
      },
      // In the most slender cell the star floats so far that ordinary errors are not small.
      SIZES.slice(0, -1).flatMap(([opening, strip]) => orderRows(opening, strip)),
    ),
  ];
}

/** With a `depth` every cut leans too, and front and back are read. */
function restRows(opening: number, strip: number, depth?: number): Row[] {
  const cell = depth === undefined ? squareCell(opening, strip) : deepSquare(opening, strip, depth);
  const stream = createStream(3100 + opening);
  let furthest = 0;
  let lower = 0;
  for (let k = 0; k < DRAWS; k++) {
    const errors = randomErrors(cell, stream, ORDINARY);
    const { pose } = predictCell(cell, errors, { order: "exact" }).rest;
    const energyAt = (q: Float64Array): number => ownEnergy(cell, ownGaps(cell, errors, q));
    const arms = cell.pieces.flatMap(({ length }) => [1, 1, length / 2]);
    furthest = Math.max(furthest, ...arms.map((arm, c) => wayToBottom(cell, errors, pose, c, arm)));
    lower += placesBelow(energyAt, pose, arms, stream);
  }
  const deep = depth === undefined ? "" : `, leaning through ${depth} mm`;
  const size = `${DRAWS} cells of ${opening} mm in ${strip} mm strip${deep}`;
  const id = `${opening}-${strip}${depth === undefined ? "" : `-${depth}`}`;
  return [
    [`${id}-bottom`, `way to the bottom along any coordinate at rest, ${size}, mm`, 0, furthest, STILL],
    [`${id}-lower`, `places nearby with less energy, of ${DRAWS * PLACES} tried, ${size}`, 0, lower, 0],
  ];
}

/**
 * Newton's step along one coordinate, mm at the ends of the piece: the slope Σ w·k·g·∂g over the curvature Σ w·k·(∂g)², with ∂g by differences of gaps
 * (differences of the energy itself would drown in its rounding).
 */
function wayToBottom(
  cell: Cell,
  errors: Float64Array,
  pose: Float64Array,
  coordinate: number,
  arm: number,
): number {
  const gapsAt = (by: number): number[] => {
    const moved = pose.slice();
    moved[coordinate]! += by / arm;
    return ownGaps(cell, errors, moved);
  };
  const [up, here, down] = [gapsAt(STEP), gapsAt(0), gapsAt(-STEP)];
  let [slope, curvature] = [0, 0];
  for (const [i, g] of here.entries()) {
    const byMove = (up[i]! - down[i]!) / (2 * STEP);
    const spring = ownWeight(cell, i) * (g < 0 ? PRESS_RATIO : 1);
    slope += spring * g * byMove;
    curvature += spring * byMove * byMove;
  }
  return Math.abs(slope / curvature);
}

/** How many places are tried about each rest, and how far from it, mm. */
const PLACES = 60;
const AWAY = [1e-5, 1e-4, 1e-3];

function placesBelow(
  energyAt: (q: Float64Array) => number,
  pose: Float64Array,
  arms: readonly number[],
  stream: RandomStream,
): number {
  const least = energyAt(pose);
  let below = 0;
  for (let k = 0; k < PLACES; k++) {
    const away = AWAY[k % AWAY.length]!;
    if (energyAt(pose.map((q, c) => q + (away * stream.normal()) / arms[c]!)) < least) below++;
  }
  return below;
}

function orderRows(opening: number, strip: number): Row[] {
  const cell = squareCell(opening, strip);
  const stream = createStream(3200 + opening);
  const slopes = Array.from({ length: DRAWS }, () => {
    const errors = randomErrors(cell, stream, ORDINARY);
    const differences = SHARES.map(
      (share) =>
        predictCell(
          cell,
          errors.map((e) => share * e),
        ).firstOrderDifference,
    );
    return logLogSlope(SHARES, differences);
  });
  const worst = slopes.reduce((a, b) => (Math.abs(b - 2) > Math.abs(a - 2) ? b : a));
  return [
    [
      `${opening}-${strip}`,
      `power of the errors with which the orders part (the furthest of ${DRAWS} from 2), ${opening} mm in ${strip} mm strip`,
      2,
      worst,
      0.1,
    ],
  ];
}

export interface Point {
  readonly x: number;
  readonly y: number;
}

/** A face as a line: a point of it and its direction, rad. */
export interface Line {
  readonly point: Point;
  readonly angle: number;
}

export const cross = (a: Point, b: Point): number => a.x * b.y - a.y * b.x;
export const minus = (a: Point, b: Point): Point => ({ x: a.x - b.x, y: a.y - b.y });
export const unit = (angle: number): Point => ({ x: Math.cos(angle), y: Math.sin(angle) });

/**
 * The exact gaps by another road than the project's: faces as lines through two places of the drawing, and the way along the nominal normal from a probe to where it
 * meets the line. Toe and heel of each joint in turn, of a cell with a depth all at the front (towards the viewer) and then all at the back; pins are left out.
 */
export function ownGaps(cell: Cell, errors: Float64Array, pose: Float64Array): number[] {
  const heights = cell.depth === undefined ? [0] : [cell.depth / 2, -cell.depth / 2];
  return heights.flatMap((z) =>
    cell.joints.flatMap((joint) => {
      const normal = outwardNormal(cell, joint);
      const back = { x: -normal.x, y: -normal.y };
      const first = faceLine(cell, cell.faces[joint.first]!.name, errors, pose, z);
      const mate = faceLine(cell, cell.faces[joint.mate]!.name, errors, pose, z);
      return [joint.toe, joint.heel].map(
        (probe) => -(wayTo(first, probe, normal) + wayTo(mate, probe, back)),
      );
    }),
  );
}

/** What a probe's gap counts for: half a joint's length, at each of two sides half of that. */
export function ownWeight(cell: Cell, probe: number): number {
  const joint = cell.joints[Math.floor(probe / 2) % cell.joints.length]!;
  return joint.pressed ? joint.length / (cell.depth === undefined ? 2 : 4) : 0;
}

/** ½ Σ w·k·g² over the joints, w as {@link ownWeight} has it, k = 1 for g ≥ 0 and `pressRatio` else. */
export function ownEnergy(cell: Cell, gaps: readonly number[], pressRatio = 1000): number {
  return gaps.reduce((sum, g, i) => sum + (ownWeight(cell, i) * (g < 0 ? pressRatio : 1) * g * g) / 2, 0);
}

/** Across the joint, away from the first piece. */
function outwardNormal(cell: Cell, { first, toe, heel, length }: Joint): Point {
  const normal = { x: (heel.y - toe.y) / length, y: (toe.x - heel.x) / length };
  const away = minus(toe, cell.pieces[cell.faces[first]!.body]!.origin);
  return normal.x * away.x + normal.y * away.y > 0 ? normal : { x: -normal.x, y: -normal.y };
}

function wayTo({ point, angle }: Line, probe: Point, along: Point): number {
  const d = unit(angle);
  return cross(minus(point, probe), d) / cross(along, d);
}

/** The line of a face, by name, under its errors on a piece at its pose, z mm from mid-depth. */
export function faceLine(cell: Cell, name: string, errors: Float64Array, pose: Float64Array, z = 0): Line {
  const layout = errorLayout(cell);
  const wall = cell.walls.find((w) => w.name === name);
  if (wall) {
    const facing = wall.normal + errors[layout.indexOf("turn", name)]!;
    const { x, y } = unit(facing);
    const offset = errors[layout.indexOf("offset", name)]!;
    return {
      point: { x: wall.middle.x + offset * x, y: wall.middle.y + offset * y },
      angle: facing + Math.PI / 2,
    };
  }
  const [owner, face] = name.split(".") as [string, CutFace | "left" | "right"];
  const body = cell.pieces.findIndex((piece) => piece.name === owner);
  const piece = cell.pieces[body]!;
  const turn = piece.axis + pose[3 * body + 2]!;
  const placed = (x: number, y: number): Point => ({
    x: piece.origin.x + pose[3 * body]! + x * Math.cos(turn) - y * Math.sin(turn),
    y: piece.origin.y + pose[3 * body + 1]! + x * Math.sin(turn) + y * Math.cos(turn),
  });
  if (face === "left" || face === "right") {
    const half = (cell.strip + errors[layout.indexOf("thickness", owner)]!) / 2;
    return { point: placed(0, face === "left" ? half : -half), angle: turn };
  }
  const cut = piece.cuts.find((c) => c.face === face)!;
  const atStart = face.startsWith("start");
  const jig = cut.jigAngle + errors[layout.indexOf("angle", owner, face)]!;
  const reach = cut.reach + errors[layout.indexOf("axial", owner, face)]!;
  // A square cut runs across the strip; the jig turns it so that the side it faces is cut shorter.
  const off = face.endsWith("left") === atStart ? -jig : jig;
  const angle = turn + Math.PI / 2 + off;
  const point = placed(atStart ? -reach : reach, 0);
  if (cell.depth === undefined) return { point, angle };
  // A leaning face stands out by z·λ, away from the piece's middle.
  const across = { x: Math.cos(angle - Math.PI / 2), y: Math.sin(angle - Math.PI / 2) };
  const middle = placed(0, 0);
  const outward = across.x * (point.x - middle.x) + across.y * (point.y - middle.y) > 0 ? 1 : -1;
  const by = outward * z * errors[layout.indexOf("lean", owner, face)]!;
  return { point: { x: point.x + by * across.x, y: point.y + by * across.y }, angle };
}

/** Slope of the straight line fitted to log y over log x: the power with which y grows. */
export function logLogSlope(xs: readonly number[], ys: readonly number[]): number {
  const [u, v] = [xs, ys].map((list) => list.map(Math.log)) as [number[], number[]];
  const mean = (list: readonly number[]): number => list.reduce((a, b) => a + b, 0) / list.length;
  const [mu, mv] = [mean(u), mean(v)];
  const products = u.reduce((sum, x, i) => sum + (x - mu) * (v[i]! - mv), 0);
  return products / u.reduce((sum, x) => sum + (x - mu) ** 2, 0);
}
