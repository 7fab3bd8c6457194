import { errorLayout } from "../../cutting/error-layout.js";
import type { CutFace } from "../../lattice/arrangement.js";
import type { Cell, Joint } from "../../lattice/cell.js";

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
