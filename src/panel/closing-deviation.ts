import { atBorder, type GridLine } from "../lattice/three-way-grid.js";
import type { ThreeWayShape } from "./grid-shape.js";
import { placeCovariance } from "./lap-places.js";

/** Which lap of a strip is the first of its crossings: a level strip's count starts at the border's member, half a pitch before its first crossing on every second line. */
export const firstLap = ({ family, crossings }: GridLine): number =>
  family === "level" ? crossings[0]!.half : 0;

/**
 * Standard deviation by which the three laps of a crossing disagree, mm along a strip, where it is largest: √3·σ against a stop, σ·√(k + l + m) for the k-th, l-th and m-th
 * lap of their strips indexed. 0 where no strips cross within the border.
 */
export function closingDeviation({ grid, panel: { laps } }: ThreeWayShape): number {
  const variances = new Map<string, number>();
  for (const line of grid.lines)
    for (const [k, crossing] of line.crossings.entries()) {
      if (atBorder(grid, crossing)) continue;
      const lap = firstLap(line) + k;
      const at = `${crossing.line} ${crossing.half}`;
      variances.set(at, (variances.get(at) ?? 0) + placeCovariance(laps, lap, lap));
    }
  return Math.sqrt(Math.max(0, ...variances.values()));
}
