import * as polyclip from "polyclip-ts";
import { faceSegments, polygonOf, type Segment, type Vec } from "../../../../src/core/geometry.js";
import { type Cell, facePlane } from "../../../../src/model/cell/cell.js";
import { areaOf, unionArea as libraryUnionArea } from "../../../checks/validate/seating-areas.js";

export { areaOf };

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

/** Area of the union of polygons, by a polygon library that knows nothing of this project. */
export const unionArea = (polygons: readonly (readonly Vec[])[]): number =>
  libraryUnionArea(polyclip, polygons);
