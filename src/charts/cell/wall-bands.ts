import { add, dot, scale, type Vec } from "../../geometry/vector.js";
import type { CellOutline } from "../../predict/cell-outline.js";

type Wall = CellOutline["walls"][number];

/** A wall's strip (or a reference's body) behind its face, and the corner pieces where two walls meet at an angle. */
export function wallBands(
  walls: readonly Wall[],
  depth: number,
): { readonly name: string; readonly corners: Vec[] }[] {
  const behind = (p: Vec, { normal }: Wall): Vec => add(p, scale(normal, -depth));
  const bands = walls.map((wall) => ({
    name: wall.name,
    corners: [wall.from, wall.to, behind(wall.to, wall), behind(wall.from, wall)],
  }));
  const corners = walls.flatMap((a, i) =>
    walls.slice(0, i).flatMap((b) =>
      meetingEnds(a, b, depth).map(([onA, onB]) => ({
        name: `${a.name} ${b.name}`,
        corners: [onA, behind(onA, a), outerCorner(onA, a, b, depth), behind(onB, b), onB],
      })),
    ),
  );
  return [...bands, ...corners];
}

/** Ends of two walls that are one corner of the opening: nearer than the depth, and the walls turned towards each other. */
function meetingEnds(a: Wall, b: Wall, depth: number): [Vec, Vec][] {
  if (Math.abs(dot(a.normal, b.normal)) > 1 - 1e-6) return [];
  return [a.from, a.to].flatMap((onA) =>
    [b.from, b.to].flatMap((onB): [Vec, Vec][] =>
      Math.hypot(onA.x - onB.x, onA.y - onB.y) < depth ? [[onA, onB]] : [],
    ),
  );
}

/** Where the backs of two walls through `p` meet. */
function outerCorner(p: Vec, a: Wall, b: Wall, depth: number): Vec {
  return add(p, scale(add(a.normal, b.normal), -depth / (1 + dot(a.normal, b.normal))));
}
