import { atBorder, type Crossing, FAMILIES, type ThreeWayGrid } from "../lattice/three-way-grid.js";

/** A crossing of a three-way grid with the strips that laps hold there. */
export interface HeldCrossing extends Crossing {
  /** Its number: {@link crossingNumber}. */
  readonly at: number;
  /** Whether strips end there, at the border. */
  readonly ends: boolean;
  /** Which families have a strip there, as places in `FAMILIES`; the border's own members are none. */
  readonly families: readonly number[];
}

/** Crossings numbered row by row, every second number unused. */
export const crossingNumber = ({ columns }: ThreeWayGrid, { line, half }: Crossing): number =>
  line * (columns + 2) + half;

export function heldCrossings(grid: ThreeWayGrid): HeldCrossing[] {
  const found = new Map<number, HeldCrossing & { families: number[] }>();
  for (const { family, border, crossings } of grid.lines)
    for (const crossing of crossings) {
      const at = crossingNumber(grid, crossing);
      const held = found.get(at) ?? { ...crossing, at, ends: atBorder(grid, crossing), families: [] };
      found.set(at, held);
      if (!border) held.families.push(FAMILIES.indexOf(family));
    }
  return [...found.values()];
}
