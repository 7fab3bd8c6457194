import type { Cell } from "../../lattice/cell.js";
import { cross, faceLine, type Line, minus, type Point, unit } from "./own-gaps.js";

/** Corners of a polygon in turn, closed by itself. */
export type Corners = readonly Point[];

/** The outline of every piece under its errors at its pose: a sheet cut by the line of each face ({@link faceLine}), the side with the piece's own origin kept. */
export function pieceOutlines(cell: Cell, errors: Float64Array, pose: Float64Array): Map<string, Corners> {
  return new Map(
    cell.pieces.map(({ name, origin, length }, body) => {
      const own = cell.faces.filter((face) => face.body === body && face.kind !== "pin");
      const middle = { x: origin.x + pose[3 * body]!, y: origin.y + pose[3 * body + 1]! };
      const sheet = [-1, 1, 1, -1].map((sx, k) => ({
        x: middle.x + 2 * length * sx,
        y: middle.y + 2 * length * (k < 2 ? -1 : 1),
      }));
      const corners = own.reduce<Corners>(
        (left, face) => cutBy(left, faceLine(cell, face.name, errors, pose), middle),
        sheet,
      );
      return [name, corners];
    }),
  );
}

/** What lies behind every wall, `depth` mm of it, long enough to reach past its neighbours. */
export function wallOutlines(cell: Cell, errors: Float64Array, depth: number): Map<string, Corners> {
  const noPose = new Float64Array(3 * cell.pieces.length);
  return new Map(
    cell.walls.map(({ name, halfLength, normal }) => {
      const { point, angle } = faceLine(cell, name, errors, noPose);
      const [along, inward] = [unit(angle), unit(normal)];
      const corner = (s: number, d: number): Point => ({
        x: point.x + s * (halfLength + depth) * along.x - d * inward.x,
        y: point.y + s * (halfLength + depth) * along.y - d * inward.y,
      });
      return [name, [corner(-1, 0), corner(1, 0), corner(1, depth), corner(-1, depth)]];
    }),
  );
}

/** The part of a polygon on the same side of a line as `keep`. */
function cutBy(corners: Corners, { point, angle }: Line, keep: Point): Corners {
  const along = unit(angle);
  const side = Math.sign(cross(along, minus(keep, point)));
  const inside = (p: Point): number => side * cross(along, minus(p, point));
  return corners.flatMap((a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    const [atA, atB] = [inside(a), inside(b)];
    const share = atA / (atA - atB);
    const where = { x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) };
    if (atA >= 0) return atB >= 0 ? [a] : [a, where];
    return atB >= 0 ? [where] : [];
  });
}
