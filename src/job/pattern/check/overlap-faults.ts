import { overlapDepth } from "../../../geometry/polygon.js";
import type { Vec } from "../../../geometry/vector.js";
import type { Arrangement } from "../../../lattice/arrangement.js";
import type { PatternFault } from "../pattern-fault.js";
import { middle, TOUCHING } from "./edge.js";
import { fault, mm } from "./fault.js";

/** Pieces that lie over each other. */
export function overlapFaults(
  { pieces, strip }: Arrangement,
  polygons: readonly (readonly Vec[])[],
): { readonly pair: readonly string[]; readonly fault: PatternFault }[] {
  return polygons.flatMap((a, i) =>
    polygons.slice(0, i).flatMap((b, k) => {
      const depth = overlapDepth(a, b);
      if (depth <= TOUCHING * strip) return [];
      const inside = [...a.filter((p) => isInside(p, b)), ...b.filter((p) => isInside(p, a))];
      const [first, second] = [pieces[k]!.name, pieces[i]!.name];
      const found = fault(
        ["pieces", second],
        `piece ${second}`,
        `it lies over ${first} by ${mm(depth)}`,
        "pieces lie side by side in one plane and only touch",
        inside.length > 0 ? inside : [middle(a)],
      );
      return [{ pair: [first, second], fault: found }];
    }),
  );
}

function isInside(p: Vec, corners: readonly Vec[]): boolean {
  return corners.every((a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) > 0;
  });
}
