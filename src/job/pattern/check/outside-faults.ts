import { direction, dot, sub, type Vec } from "../../../geometry/vector.js";
import type { Arrangement } from "../../../lattice/arrangement.js";
import type { PatternFault } from "../pattern-fault.js";
import { TOUCHING } from "./edge.js";
import { fault, mm } from "./fault.js";

/** Pieces that lie beyond a wall. */
export function outsideFaults(
  { pieces, walls, strip }: Arrangement,
  polygons: readonly (readonly Vec[])[],
): PatternFault[] {
  return polygons.flatMap((corners, i) =>
    walls.flatMap(({ name, middle: on, normal }): PatternFault[] => {
      const rooms = corners.map((p) => dot(direction(normal), sub(p, on)));
      const least = Math.min(...rooms);
      if (least >= -TOUCHING * strip) return [];
      const piece = pieces[i]!.name;
      return [
        fault(
          ["pieces", piece],
          `piece ${piece}`,
          `it lies ${mm(-least)} beyond ${name}`,
          "the infill stays within its opening",
          corners.filter((_, k) => rooms[k]! < -TOUCHING * strip),
        ),
      ];
    }),
  );
}
