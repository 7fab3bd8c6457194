import { noErrors } from "../cutting/error-layout.js";
import { faceStates } from "../cutting/face-states.js";
import type { Segment } from "../geometry/face-segments.js";
import { add, direction, distance, scale, sub, type Vec } from "../geometry/vector.js";
import type { Cell } from "../lattice/cell.js";
import { currentSegments, PredictError } from "./require-meeting.js";

/** A stretch of a face: its two ends, mm. */
export interface Edge {
  readonly from: Vec;
  readonly to: Vec;
}

/** Outlines of a cell at rest, every displacement from the nominal place taken `magnification` times; mm in the cell's axes. */
export interface CellOutline {
  readonly magnification: number;
  /** Largest displacement of any end of a first-named face before magnification, mm. */
  readonly largestMove: number;
  /** Corners of each piece, counter-clockwise. */
  readonly pieces: readonly { readonly name: string; readonly corners: readonly Vec[] }[];
  /** The line of each wall; `normal` points into the opening (nominal). */
  readonly walls: readonly (Edge & { readonly name: string; readonly normal: Vec })[];
  /** The two faces of each joint, in the order of the cell's joints. */
  readonly joints: readonly { readonly name: string; readonly first: Edge; readonly mate: Edge }[];
}

/**
 * Where the outlines of pieces and walls lie: nominal + magnification × (true − nominal), corner by corner.
 *
 * @param pose x, y (mm) and turn (rad) of each piece at rest.
 * @param magnification ≥ 0; 1 is the true place, 0 the nominal one.
 * @param z distance from mid-depth at which the outlines are taken, mm, towards the viewer +; a cell without a depth is the same throughout.
 * @throws PredictError when the errors take a face away that the nominal cell has.
 */
export function cellOutline(
  cell: Cell,
  errors: Float64Array,
  pose: Float64Array,
  magnification: number,
  z = 0,
): CellOutline {
  const nominal = currentSegments(cell, faceStates(cell, noErrors(cell)), new Float64Array(pose.length));
  const actual = currentSegments(cell, faceStates(cell, errors, z), pose);
  const moved = (from: Vec, to: Vec): Vec => add(from, scale(sub(to, from), magnification));
  const edges = cell.faces.map((face, i): Edge | null => {
    const [before, after] = [nominal[i], actual[i]];
    if (!isThere(before) || face.kind === "pin") return null;
    if (!isThere(after)) throw new PredictError(`The errors are too large: the face ${face.name} vanishes.`);
    return { from: moved(before.from, after.from), to: moved(before.to, after.to) };
  });
  return {
    magnification,
    pieces: cell.pieces.map(({ name }, body) => ({ name, corners: cornersOf(cell, body, edges) })),
    walls: cell.walls.map(({ name, normal }, i) => ({ name, normal: direction(normal), ...edges[i]! })),
    joints: cell.joints.map(({ name, first, mate }) => ({
      name,
      first: edges[first]!,
      mate: edges[mate]!,
    })),
    largestMove: Math.max(
      ...cell.joints.flatMap(({ first: i }) => [
        distance(nominal[i]!.from, actual[i]!.from),
        distance(nominal[i]!.to, actual[i]!.to),
      ]),
    ),
  };
}

const isThere = (segment: Segment | null | undefined): segment is Segment => segment != null;

/** A piece's faces in the order of their nominal directions: each begins where the one before it ends. */
function cornersOf(cell: Cell, body: number, edges: readonly (Edge | null)[]): Vec[] {
  const turn = (angle: number): number => Math.atan2(Math.sin(angle), Math.cos(angle));
  return [...cell.faces.entries()]
    .filter(([i, face]) => face.body === body && edges[i])
    .sort(([, a], [, b]) => turn(a.angle) - turn(b.angle))
    .map(([i]) => edges[i]!.from);
}
