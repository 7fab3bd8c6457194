import { polygonOf } from "../../geometry/polygon.js";
import type { Arrangement } from "../../lattice/arrangement.js";
import { facePlane, pieceFaces, wallFace } from "../../lattice/piece-faces.js";
import { cellFaults } from "./check/cell-faults.js";
import { type Edge, wallSegment } from "./check/edge.js";
import { jointFaults } from "./check/joint-faults.js";
import { outsideFaults } from "./check/outside-faults.js";
import { overlapFaults } from "./check/overlap-faults.js";
import { pieceFaults } from "./check/piece-faults.js";
import { tipFaults } from "./check/tip-faults.js";
import { wallFaults } from "./check/wall-faults.js";
import type { Pattern } from "./pattern.js";
import type { PatternFault } from "./pattern-fault.js";

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

/** `hinge-1` of `hinge-1.end-left`. */
const ownerOf = (face: string): string => face.split(".")[0]!;
