import type { Vec } from "../../core/geometry.js";
import type { Html } from "../html.js";
import { PALETTE, SIZE } from "../style.js";
import { label } from "../svg.js";
import { textWidth } from "../text-layout.js";

/** An outline in a drawing, px, and what it is of. */
export interface NamedShape {
  readonly name: string;
  readonly corners: readonly Vec[];
}

interface LabelRequest {
  /** What the label speaks of, px. */
  readonly at: Vec;
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
const DIRECTIONS = 64;
/** A leader over a piece is worth a detour: px for each of its sample points that lies on one. */
const CROSSING = 6;
/** What a free px around a label is worth, and what a px over a shape costs. */
const BLANK = 20;
const COVERING = 200;
/** What it costs to lie over another label: more than to lie over any shape. */
const OVERPRINT = 20_000;
const STEP = 5;

/** What a label must keep clear of, px, y downwards. */
interface Obstacles {
  /** Convex polygons. */
  readonly shapes: readonly (readonly Vec[])[];
  readonly labels: readonly (readonly Vec[])[];
}

/** The free place nearest to what the label speaks of. Where nothing is free, the least bad, over a shape before over another label. */
export function placeLabel(
  { at, width, height }: LabelRequest,
  { shapes, labels }: Obstacles,
  view: { readonly width: number; readonly height: number },
): LabelPlace {
  let best = { x: at.x, y: at.y, score: Number.NEGATIVE_INFINITY };
  for (const radius of RADII) {
    for (let k = 0; k < DIRECTIONS; k++) {
      const turn = (2 * Math.PI * k) / DIRECTIONS;
      const x = clamped(at.x + radius * Math.cos(turn), width / 2, view.width - width / 2);
      const y = clamped(at.y + radius * Math.sin(turn), height / 2, view.height - height / 2);
      const away = Math.hypot(x - at.x, y - at.y);
      if (BLANK * ENOUGH - away <= best.score) continue;
      const box = rectangle(x, y, width, height);
      const room = clearance(box, shapes);
      const over = clearance(box, labels) < 0 ? OVERPRINT : 0;
      const most = (room < 0 ? COVERING : BLANK) * room - away - over;
      if (most <= best.score) continue;
      const hidden = samples(at, { x, y }).filter((p) => clearance([p], shapes) < 0).length;
      const score = most - CROSSING * hidden;
      if (score > best.score) best = { x, y, score };
    }
  }
  return {
    x: best.x,
    y: best.y,
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

/** Corners of a rectangle about its middle. */
export function rectangle(x: number, y: number, width: number, height: number): Vec[] {
  const [w, h] = [width / 2, height / 2];
  return [
    { x: x - w, y: y - h },
    { x: x + w, y: y - h },
    { x: x + w, y: y + h },
    { x: x - w, y: y + h },
  ];
}

/** Least distance from a convex shape to others, px; negative where it lies over one. */
function clearance(shape: readonly Vec[], obstacles: readonly (readonly Vec[])[]): number {
  return obstacles.reduce((least, other) => Math.min(least, separation(shape, other)), ENOUGH);
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

/** A name is written on its piece where the piece is this much wider than the letters are high, and long enough. */
const ROOM = 1.15;

/** Steeper than this, degrees clockwise, a name is read upwards, so that names along upright walls all run one way. */
const STEEPEST = 85;

/** The names of pieces and walls along them, upright enough to read. */
export const nameLabels = (shapes: readonly NamedShape[]): Html[] =>
  shapes.flatMap(({ name, corners }) => {
    const { length, turn } = longestEdge(corners);
    const thick = Math.abs(area(corners)) / length;
    if (name.includes(" ") || thick < ROOM * SIZE.tiny || length < textWidth(name, SIZE.tiny) + 12) return [];
    return [
      label(name, middleOf(corners), { anchor: "middle", size: SIZE.tiny, color: PALETTE.quiet, turn }),
    ];
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
