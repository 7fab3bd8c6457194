import type { Vec } from "../../core/geometry.js";
import type { Layer } from "../charts/chart-spec.js";
import { px, texts, textWidth } from "../charts/marks.js";
import { PALETTE, SIZE } from "../style.js";

interface Point {
  readonly x: number;
  readonly y: number;
}

interface LabelRequest {
  /** What the label speaks of, px. */
  readonly at: Point;
  readonly width: number;
  readonly height: number;
}

interface LabelPlace {
  /** Middle of the label, px. */
  readonly x: number;
  readonly y: number;
  /** Where its leader ends: the point of the label's rim nearest to what it speaks of. */
  readonly rimX: number;
  readonly rimY: number;
}

/** Blank around a label that is as good as any more, px. */
const ENOUGH = 5;
const RADII = [22, 30, 38, 46, 56, 68, 82, 98, 120, 150, 190, 240];
const DIRECTIONS = 32;
/** A leader over a piece is worth a detour: px for each of its sample points that lies on one. */
const CROSSING = 6;
/** For each px that a label lies over something. */
const COVERING = 200;
const STEP = 5;

/** The free place nearest to what the label speaks of, among polygons and labels already placed (px, y downwards). Where nothing is free, the least bad. */
export function placeLabel(
  { at, width, height }: LabelRequest,
  obstacles: readonly (readonly Point[])[],
  view: { readonly width: number; readonly height: number },
): LabelPlace {
  let best = { x: at.x, y: at.y, score: Number.NEGATIVE_INFINITY };
  for (const radius of RADII) {
    for (let k = 0; k < DIRECTIONS; k++) {
      const turn = (2 * Math.PI * k) / DIRECTIONS;
      const x = at.x + radius * Math.cos(turn);
      const y = at.y + radius * Math.sin(turn);
      const inside =
        x >= width / 2 && x <= view.width - width / 2 && y >= height / 2 && y <= view.height - height / 2;
      if (!inside) continue;
      const room = Math.min(ENOUGH, clearance(rectangle(x, y, width, height), obstacles));
      const hidden = samples(at, { x, y }).filter((p) => clearance([p], obstacles) < 0).length;
      const score = (room < 0 ? COVERING : 20) * room - radius - CROSSING * hidden;
      if (score > best.score) best = { x, y, score };
    }
  }
  const within = (value: number, middle: number, size: number): number =>
    Math.min(Math.max(value, middle - size / 2), middle + size / 2);
  return {
    x: best.x,
    y: best.y,
    rimX: within(at.x, best.x, width),
    rimY: within(at.y, best.y, height),
  };
}

/** Points along a leader. */
function samples(from: Point, to: Point): Point[] {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const count = Math.floor(length / STEP);
  return Array.from({ length: count }, (_, i) => ({
    x: from.x + ((to.x - from.x) * (i + 1)) / (count + 1),
    y: from.y + ((to.y - from.y) * (i + 1)) / (count + 1),
  }));
}

/** Corners of a rectangle about its middle. */
export function rectangle(x: number, y: number, width: number, height: number): Point[] {
  const [w, h] = [width / 2, height / 2];
  return [
    { x: x - w, y: y - h },
    { x: x + w, y: y - h },
    { x: x + w, y: y + h },
    { x: x - w, y: y + h },
  ];
}

/** Least distance from a convex shape to others, px; negative where it lies over one. */
function clearance(shape: readonly Point[], obstacles: readonly (readonly Point[])[]): number {
  return obstacles.reduce((least, other) => Math.min(least, separation(shape, other)), ENOUGH);
}

/** Separating-axis distance of convex polygons: exact for overlap, at most the true distance when apart. */
function separation(a: readonly Point[], b: readonly Point[]): number {
  return Math.max(acrossEdges(a, b), acrossEdges(b, a));
}

function acrossEdges(a: readonly Point[], b: readonly Point[]): number {
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

/** A name is written on its piece where the piece is this much wider than the letters are high, and long enough. */
const ROOM = 1.15;

/** Steeper than this, degrees clockwise, a name is read upwards, so that names along upright walls all run one way. */
const STEEPEST = 85;

/** The names of pieces and walls along them, upright enough to read. */
export function nameLabels(
  shapes: readonly { readonly name: string; readonly corners: readonly Point[] }[],
): Layer[] {
  const rows = shapes.flatMap(({ name, corners }) => {
    const { length, turn } = longestEdge(corners);
    const middle = middleOf(corners);
    const thick = Math.abs(area(corners)) / length;
    if (name.includes(" ") || thick < ROOM * SIZE.tiny || length < textWidth(name, SIZE.tiny) + 12) return [];
    return [{ x: px(middle.x), y: px(middle.y), text: name, angle: px(turn) }];
  });
  return texts(rows, { align: "center", size: SIZE.tiny, color: PALETTE.quiet });
}

function longestEdge(corners: readonly Point[]): { length: number; turn: number } {
  const edges = corners.map((a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    return { x: b.x - a.x, y: b.y - a.y, length: Math.hypot(b.x - a.x, b.y - a.y) };
  });
  const { x, y, length } = edges.reduce((best, edge) => (edge.length > best.length ? edge : best));
  const turn = (Math.atan2(y, x) * 180) / Math.PI;
  return { length, turn: turn > STEEPEST ? turn - 180 : turn <= STEEPEST - 180 ? turn + 180 : turn };
}

const area = (corners: readonly Point[]): number =>
  corners.reduce((sum, a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    return sum + a.x * b.y - a.y * b.x;
  }, 0) / 2;

/** A rectangle with its sides along the axes. */
export interface Box {
  readonly left: number;
  readonly right: number;
  readonly bottom: number;
  readonly top: number;
}

/** The part of a convex polygon that lies in the box (each side of the box cuts in turn). */
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

/** The least box around points. */
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
