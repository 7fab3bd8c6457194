import { distance } from "../../../geometry/vector.js";
import type { Wall } from "../../../lattice/arrangement.js";
import type { PatternFault } from "../pattern-fault.js";
import { TOUCHING, wallSegment } from "./edge.js";
import { fault, mm } from "./fault.js";

/** Walls follow each other round a convex opening, in any order of the file. */
export function wallFaults(walls: readonly Wall[], strip: number): PatternFault[] {
  return walls.flatMap((wall): PatternFault[] => {
    const end = wallSegment(wall).from;
    const gaps = walls.map((other) =>
      other === wall ? Number.POSITIVE_INFINITY : distance(wallSegment(other).to, end),
    );
    const least = Math.min(...gaps);
    if (least > TOUCHING * strip)
      return [
        fault(
          ["walls", wall.name, "to"],
          wall.name,
          `no wall begins where it ends; the nearest is ${mm(least)} off`,
          "the walls run round the opening counter-clockwise, each from the corner where another ends",
          [end],
        ),
      ];
    const next = walls[gaps.indexOf(least)]!;
    const turn = Math.sin(next.normal - wall.normal);
    if (turn > 1e-9) return [];
    return [
      fault(
        ["walls", next.name],
        next.name,
        "the opening does not turn left at its start",
        "the walls run round the opening counter-clockwise, and every corner is less than 180°",
        [end],
      ),
    ];
  });
}
