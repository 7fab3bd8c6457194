import { middleOf } from "./clip-polygon.js";

interface Point {
  readonly x: number;
  readonly y: number;
}

export interface LabelRequest {
  /** What the label speaks of, px. */
  readonly at: Point;
  readonly width: number;
  readonly height: number;
}

export interface LabelPlace {
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
