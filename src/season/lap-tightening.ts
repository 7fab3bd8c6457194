import type { Wall } from "../lattice/arrangement.js";

/**
 * By what share of its own growth a strip outgrows the slot of a lap that it lies in. A slot's sides keep their places along the grain of the strip that it is cut through. Cut at the angle α
 * to that strip, it is as wide as their distance times sin α; growth by the strain ε turns them to tan α·(1 + ε) and so widens the slot by ε·cos² α, where the strip in it grows by ε: what
 * is left is sin² α. 1 where strips cross at right angles, ¾ at the 60° of a three-way grid.
 *
 * @param walls of the cell; strips cross as its first wall meets the next one that is not parallel to it
 */
export function lapTightening(walls: readonly Pick<Wall, "normal">[]): number {
  const sines = walls.map(({ normal }) => Math.sin(normal - walls[0]!.normal) ** 2);
  return sines.find((sine) => sine > 1e-9) ?? 1;
}
