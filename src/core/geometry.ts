/** One degree, rad. */
export const DEGREE = Math.PI / 180;

/** A point or a direction in the face of the panel, mm. */
export interface Vec {
  readonly x: number;
  readonly y: number;
}

export const vec = (x: number, y: number): Vec => ({ x, y });
export const add = (a: Vec, b: Vec): Vec => vec(a.x + b.x, a.y + b.y);
export const sub = (a: Vec, b: Vec): Vec => vec(a.x - b.x, a.y - b.y);
export const scale = (a: Vec, k: number): Vec => vec(a.x * k, a.y * k);
export const dot = (a: Vec, b: Vec): number => a.x * b.x + a.y * b.y;
export const distance = (a: Vec, b: Vec): number => Math.hypot(a.x - b.x, a.y - b.y);

/** Unit vector at `angle` (rad) counter-clockwise from +x. */
export const direction = (angle: number): Vec => vec(Math.cos(angle), Math.sin(angle));

/** `a` turned +90° (counter-clockwise). */
export const turnedLeft = (a: Vec): Vec => vec(-a.y, a.x);

/** `a` turned by `angle` (rad) counter-clockwise about the origin. */
export function rotate(a: Vec, angle: number): Vec {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  return vec(c * a.x - s * a.y, s * a.x + c * a.y);
}

/** The points p with n·p ≤ c; `normal` is the unit outward normal, `offset` c in mm. */
export interface HalfPlane {
  readonly normal: Vec;
  readonly offset: number;
}

/** Half-plane with outward normal at `angle` (rad) through the point `through`. */
export function halfPlaneThrough(angle: number, through: Vec): HalfPlane {
  const normal = direction(angle);
  return { normal, offset: dot(normal, through) };
}

/** Where two boundary lines cross; coordinates are ±Infinity or NaN when they are parallel. */
export function crossing(a: HalfPlane, b: HalfPlane): Vec {
  const det = a.normal.x * b.normal.y - a.normal.y * b.normal.x;
  return vec(
    (a.offset * b.normal.y - b.offset * a.normal.y) / det,
    (a.normal.x * b.offset - b.normal.x * a.offset) / det,
  );
}

/** Lengths of the sides opposite the corners A, B, C, mm. */
function sides(a: Vec, b: Vec, c: Vec): [number, number, number] {
  return [distance(b, c), distance(c, a), distance(a, b)];
}

/** Centre of the inscribed circle, where the three bisectors meet (Euclid, Elements IV.4). */
export function incentre(a: Vec, b: Vec, c: Vec): Vec {
  const [la, lb, lc] = sides(a, b, c);
  const around = la + lb + lc;
  return vec((la * a.x + lb * b.x + lc * c.x) / around, (la * a.y + lb * b.y + lc * c.y) / around);
}

/** Length of the bisector from corner A to the side BC, mm: 2bc·cos(A/2)/(b + c). */
export function bisectorLength(a: Vec, b: Vec, c: Vec): number {
  const [la, lb, lc] = sides(a, b, c);
  return Math.sqrt(lb * lc * (1 - (la / (lb + lc)) ** 2));
}

/** The segment of one boundary line that bounds the intersection, counter-clockwise. */
export interface Segment {
  readonly from: Vec;
  readonly to: Vec;
  readonly length: number;
}

const PARALLEL = 1e-12;

/**
 * The edge that each half-plane contributes to the intersection of all of them.
 *
 * @returns one segment for each half-plane, in the same order; `null` if it contributes none (a face that has vanished).
 *          A segment of infinite length means that the intersection is not bounded on that side.
 */
export function faceSegments(planes: readonly HalfPlane[]): (Segment | null)[] {
  return planes.map((plane, index) => edgeOn(plane, planes, index));
}

function edgeOn(plane: HalfPlane, planes: readonly HalfPlane[], index: number): Segment | null {
  const along = turnedLeft(plane.normal);
  const base = scale(plane.normal, plane.offset);
  let low = Number.NEGATIVE_INFINITY;
  let high = Number.POSITIVE_INFINITY;
  for (const [i, other] of planes.entries()) {
    if (i === index) continue;
    const slope = dot(other.normal, along);
    const room = other.offset - dot(other.normal, base);
    if (Math.abs(slope) < PARALLEL) {
      if (room < 0) return null;
    } else if (slope > 0) high = Math.min(high, room / slope);
    else low = Math.max(low, room / slope);
  }
  if (!(high > low)) return null;
  return { from: add(base, scale(along, low)), to: add(base, scale(along, high)), length: high - low };
}

/** Corners of the bounded intersection of half-planes, counter-clockwise; empty when there is none. */
export function polygonOf(planes: readonly HalfPlane[]): Vec[] {
  return planes
    .map((plane, index) => ({ angle: Math.atan2(plane.normal.y, plane.normal.x), index }))
    .sort((a, b) => a.angle - b.angle)
    .flatMap(({ index }) => faceSegments(planes)[index]?.from ?? []);
}

/**
 * Depth by which two convex polygons overlap, mm: the smallest move that separates them (separating-axis test over the edges of both).
 * Zero or negative when they touch or are apart.
 */
export function overlapDepth(a: readonly Vec[], b: readonly Vec[]): number {
  return Math.min(depthAcrossEdges(a, b), depthAcrossEdges(b, a));
}

function depthAcrossEdges(a: readonly Vec[], b: readonly Vec[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (const [i, from] of a.entries()) {
    const edge = sub(a[(i + 1) % a.length]!, from);
    const length = Math.hypot(edge.x, edge.y);
    if (length === 0) continue;
    const inward = turnedLeft({ x: edge.x / length, y: edge.y / length });
    least = Math.min(least, Math.max(...b.map((corner) => dot(inward, sub(corner, from)))));
  }
  return least;
}
