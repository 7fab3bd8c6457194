import { setPrecision, union } from "polyclip-ts";
import { faceSegments, type Segment } from "../../../src/geometry/face-segments.js";
import { polygonOf } from "../../../src/geometry/polygon.js";
import type { Vec } from "../../../src/geometry/vector.js";
import type { Cell } from "../../../src/lattice/cell.js";
import { facePlane } from "../../../src/lattice/piece-faces.js";

const planesOf = (cell: Cell, piece: string) =>
  cell.faces.filter(({ name, kind }) => name.startsWith(`${piece}.`) && kind !== "pin").map(facePlane);

/** Corners of every piece at nominal size, counter-clockwise. */
export const outlines = (cell: Cell): Vec[][] =>
  cell.pieces.map(({ name }) => polygonOf(planesOf(cell, name)));

/** The edge that one face contributes to its piece: `hinge-1.end-left`. */
export function edgeOf(cell: Cell, face: string): Segment {
  const piece = face.slice(0, face.indexOf("."));
  const names = cell.faces.filter(({ name }) => name.startsWith(`${piece}.`)).map(({ name }) => name);
  return faceSegments(planesOf(cell, piece))[names.indexOf(face)]!;
}

/** Area of a ring by the shoelace formula, unsigned. */
function ringArea(ring: readonly (readonly [number, number])[]): number {
  const twice = ring.reduce((sum, [x, y], i) => {
    const [u, v] = ring[(i + 1) % ring.length]!;
    return sum + x * v - y * u;
  }, 0);
  return Math.abs(twice) / 2;
}

export const areaOf = (corners: readonly Vec[]): number => ringArea(corners.map(({ x, y }) => [x, y]));

/** Area of the union of polygons, by a polygon library that knows nothing of this project; points nearer than 1e-9 mm count as one. */
export function unionArea(polygons: readonly (readonly Vec[])[]): number {
  setPrecision(1e-9);
  const [first, ...rest] = polygons.map((corners) => [corners.map(({ x, y }): [number, number] => [x, y])]);
  const pieces = union(first!, ...rest);
  setPrecision();
  return pieces.reduce(
    (sum, [outer, ...holes]) =>
      sum + ringArea(outer!) - holes.reduce((inner, hole) => inner + ringArea(hole), 0),
    0,
  );
}
