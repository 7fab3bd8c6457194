import type { Vec } from "../../core/geometry.js";
import type { Html } from "../html.js";
import { PALETTE, SIZE } from "../style.js";
import { label } from "../svg.js";
import { textWidth } from "../text-layout.js";

/** An outline in a drawing, px, and the name of the object it outlines. */
export interface NamedShape {
  readonly name: string;
  readonly corners: readonly Vec[];
}

interface LabelRequest {
  /** The target that the label refers to, px. */
  readonly at: Vec;
  readonly width: number;
  readonly height: number;
}

/** The position of a label. */
export interface LabelPlace {
  /** Middle of the label, px. */
  readonly x: number;
  readonly y: number;
  /** Where its leader ends: the point of the label's edge nearest to its target. */
  readonly rimX: number;
  readonly rimY: number;
  /** Score of the place, px, higher is better, to compare ways of placing several labels. */
  readonly score: number;
}

/** Clearance around a label beyond which more blank does not improve the score, px. */
const ENOUGH = 5;
const RADII = [22, 30, 38, 46, 56, 68, 82, 98, 120, 150, 190, 240];
const DIRECTIONS = 64;
/** Penalties for a leader that crosses a piece, and larger ones for another label or a name: px for each of its sample points that lies on one. */
const CROSSING = 6;
const CROSSING_LABEL = 40;
/** Penalty for a long leader, which looks like a strut of the cell: px for each px beyond {@link SHORT}. */
const SHORT = 60;
const STRUT = 2;
/** Weights in the score: reward for each px of clearance around a label, and penalty for each px of overlap with a shape. */
const BLANK = 20;
const COVERING = 200;
/** Penalty for lying over another label: larger than that for any overlap with a shape. */
const OVERPRINT = 20_000;
const STEP = 5;

/** Obstacles that a label must keep clear of, px, y downwards. */
interface Obstacles {
  /** Convex polygons. */
  readonly shapes: readonly (readonly Vec[])[];
  readonly labels: readonly (readonly Vec[])[];
}

/** The free position nearest to the label's target. If there is no free position, the one with the best score, which prefers an overlap with a shape to an overlap with another label. */
export function placeLabel(
  { at, width, height }: LabelRequest,
  { shapes, labels }: Obstacles,
  view: { readonly width: number; readonly height: number },
): LabelPlace {
  const [shapesAround, labelsAround] = [shapes.map(withBox), labels.map(withBox)];
  let best = { x: at.x, y: at.y, score: Number.NEGATIVE_INFINITY };
  for (const radius of RADII) {
    for (let k = 0; k < DIRECTIONS; k++) {
      const turn = (2 * Math.PI * k) / DIRECTIONS;
      const x = clamped(at.x + radius * Math.cos(turn), width / 2, view.width - width / 2);
      const y = clamped(at.y + radius * Math.sin(turn), height / 2, view.height - height / 2);
      const away = Math.hypot(x - at.x, y - at.y);
      if (BLANK * ENOUGH - away <= best.score) continue;
      const box = rectangle(x, y, width, height);
      const room = clearance(box, shapesAround);
      const over = clearance(box, labelsAround) < 0 ? OVERPRINT : 0;
      const most = (room < 0 ? COVERING : BLANK) * room - away - over;
      if (most <= best.score) continue;
      const leader = samples(at, { x, y });
      const pointsOver = (list: readonly Boxed[]): number =>
        leader.filter((p) => clearance([p], list) < 0).length;
      const detour = CROSSING * pointsOver(shapesAround) + CROSSING_LABEL * pointsOver(labelsAround);
      const score = most - detour - STRUT * Math.max(0, away - SHORT);
      if (score > best.score) best = { x, y, score };
    }
  }
  return {
    ...best,
    rimX: clamped(at.x, best.x - width / 2, best.x + width / 2),
    rimY: clamped(at.y, best.y - height / 2, best.y + height / 2),
  };
}

const clamped = (value: number, low: number, high: number): number => Math.min(Math.max(value, low), high);

/** Points along a leader. */
function samples(from: Vec, to: Vec): Vec[] {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const count = Math.floor(length / STEP);
  return Array.from({ length: count }, (_, i) => ({
    x: from.x + ((to.x - from.x) * (i + 1)) / (count + 1),
    y: from.y + ((to.y - from.y) * (i + 1)) / (count + 1),
  }));
}

/** Corners of a rectangle around its centre. */
export function rectangle(x: number, y: number, width: number, height: number): Vec[] {
  const [w, h] = [width / 2, height / 2];
  return [
    { x: x - w, y: y - h },
    { x: x + w, y: y - h },
    { x: x + w, y: y + h },
    { x: x - w, y: y + h },
  ];
}

/** A convex shape and its bounding box. */
interface Boxed {
  readonly corners: readonly Vec[];
  readonly box: Box;
}

const withBox = (corners: readonly Vec[]): Boxed => ({ corners, box: boxAround(corners) });

/** Smallest distance from an axis-aligned rectangle, or a point, to convex shapes, px; negative if it overlaps one. */
function clearance(shape: readonly Vec[], obstacles: readonly Boxed[]): number {
  const own = boxAround(shape);
  let least = ENOUGH;
  for (const { corners, box } of obstacles) {
    const apart = Math.max(
      box.left - own.right,
      own.left - box.right,
      box.bottom - own.top,
      own.bottom - box.top,
    );
    // No shape is nearer than its bounding box.
    if (apart < least) least = Math.min(least, separation(shape, corners));
  }
  return least;
}

/** Separating-axis distance of convex polygons: exact for overlap, at most the true distance when apart. */
function separation(a: readonly Vec[], b: readonly Vec[]): number {
  return Math.max(acrossEdges(a, b), acrossEdges(b, a));
}

function acrossEdges(a: readonly Vec[], b: readonly Vec[]): number {
  const middle = middleOf(a);
  let most = Number.NEGATIVE_INFINITY;
  for (const [i, from] of a.entries()) {
    const to = a[(i + 1) % a.length]!;
    const length = Math.hypot(to.x - from.x, to.y - from.y);
    if (length === 0) continue;
    let nx = (to.y - from.y) / length;
    let ny = (from.x - to.x) / length;
    if (nx * (middle.x - from.x) + ny * (middle.y - from.y) > 0) [nx, ny] = [-nx, -ny];
    most = Math.max(most, Math.min(...b.map((p) => nx * (p.x - from.x) + ny * (p.y - from.y))));
  }
  return most;
}

/** A name is written on its piece if the piece is this much wider than the letters are high, and long enough. */
const ROOM = 1.15;

/** A name steeper than this, degrees clockwise, is written to be read upwards, so that names along upright walls all run in the same direction. */
const STEEPEST = 85;

/** The names of pieces and walls, written along them and never upside down. */
export const nameLabels = (shapes: readonly NamedShape[]): Html[] =>
  placedNames(shapes).map(({ name, middle, turn }) =>
    label(name, middle, { anchor: "middle", size: SIZE.tiny, color: PALETTE.quiet, turn }),
  );

/** The areas taken up by the names of {@link nameLabels}, for labels that must not lie over them. */
export const nameBoxes = (shapes: readonly NamedShape[]): Vec[][] =>
  placedNames(shapes).map(({ name, middle, turn }) => {
    const angle = (turn * Math.PI) / 180;
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    return rectangle(0, 0, textWidth(name, SIZE.tiny), SIZE.tiny + 2).map(({ x, y }) => ({
      x: middle.x + cos * x - sin * y,
      y: middle.y + sin * x + cos * y,
    }));
  });

/** The names that fit on their shapes, each with its centre and its rotation in degrees clockwise. */
const placedNames = (
  shapes: readonly NamedShape[],
): { readonly name: string; readonly middle: Vec; readonly turn: number }[] =>
  shapes.flatMap(({ name, corners }) => {
    const { length, turn } = longestEdge(corners);
    const thick = Math.abs(area(corners)) / length;
    if (name.includes(" ") || thick < ROOM * SIZE.tiny || length < textWidth(name, SIZE.tiny) + 12) return [];
    return [{ name, middle: middleOf(corners), turn }];
  });

function longestEdge(corners: readonly Vec[]): { length: number; turn: number } {
  const edges = corners.map((a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    return { x: b.x - a.x, y: b.y - a.y, length: Math.hypot(b.x - a.x, b.y - a.y) };
  });
  const { x, y, length } = edges.reduce((best, edge) => (edge.length > best.length ? edge : best));
  const turn = (Math.atan2(y, x) * 180) / Math.PI;
  return { length, turn: turn > STEEPEST ? turn - 180 : turn <= STEEPEST - 180 ? turn + 180 : turn };
}

const area = (corners: readonly Vec[]): number =>
  corners.reduce((sum, a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    return sum + a.x * b.y - a.y * b.x;
  }, 0) / 2;

/** An axis-aligned rectangle. */
export interface Box {
  readonly left: number;
  readonly right: number;
  readonly bottom: number;
  readonly top: number;
}

/** The part of a convex polygon inside the box (clipped by each side of the box in turn). */
export function clipPolygon(corners: readonly Vec[], box: Box): Vec[] {
  const room: ((p: Vec) => number)[] = [
    (p) => p.x - box.left,
    (p) => box.right - p.x,
    (p) => p.y - box.bottom,
    (p) => box.top - p.y,
  ];
  return room.reduce<readonly Vec[]>(cutBy, corners).slice();
}

function cutBy(corners: readonly Vec[], room: (p: Vec) => number): Vec[] {
  return corners.flatMap((a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    const [atA, atB] = [room(a), room(b)];
    const kept = atA >= 0 ? [a] : [];
    if (atA >= 0 === atB >= 0) return kept;
    const share = atA / (atA - atB);
    return [...kept, { x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) }];
  });
}

/** The bounding box of points. */
export function boxAround(points: readonly Vec[]): Box {
  const xs = points.map((p) => p.x);
  const ys = points.map((p) => p.y);
  return {
    left: Math.min(...xs),
    right: Math.max(...xs),
    bottom: Math.min(...ys),
    top: Math.max(...ys),
  };
}

/** Mean of the corners. */
export const middleOf = (corners: readonly Vec[]): Vec => ({
  x: corners.reduce((sum, p) => sum + p.x, 0) / corners.length,
  y: corners.reduce((sum, p) => sum + p.y, 0) / corners.length,
});
