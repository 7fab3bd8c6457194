import { at } from "../../core/numeric/dense.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";
import type { Wall } from "../../model/cell/arrangement.js";
import type { Season, StripWood } from "../../model/job/season.js";
import { stripMovement } from "../../model/wood/wood.js";

/** What is unsure of one cell's wood, in standard deviations: the same cell is followed through the year. */
export interface WoodDraw {
  /** Of the board's movement and of its rings: infill, grid. */
  readonly board: readonly [number, number];
  readonly rings: readonly [number, number];
  /** Of the moisture in the shop, and in each state of the year. */
  readonly shop: number;
  readonly year: readonly number[];
}

export function drawWood(stream: RandomStream, states: number): WoodDraw {
  const pair = (): [number, number] => [stream.normal(), stream.normal()];
  return {
    board: pair(),
    rings: pair(),
    shop: stream.normal(),
    year: Array.from({ length: states }, () => stream.normal()),
  };
}

/** Nothing differs from what is expected. */
export const EXPECTED_WOOD = (states: number): WoodDraw => ({
  board: [0, 0],
  rings: [0, 0],
  shop: 0,
  year: new Array<number>(states).fill(0),
});

/** Growth of the strips between two moisture contents, as shares: infill, grid. */
export function strainsOf(
  season: Season,
  draw: WoodDraw,
  shopMoisture: number,
  moisture: number,
  state: number,
): [infill: number, grid: number] {
  const { coefficientTrustedTo, moistureTrustedTo, ringsTrustedTo } = season;
  const strain = ({ wood, rings }: StripWood, part: 0 | 1): number => {
    const within = (value: number): number => Math.min(Math.max(value, 0), wood.startsAt);
    const from = within(shopMoisture + moistureTrustedTo * draw.shop);
    const to = within(moisture + moistureTrustedTo * at(draw.year, state));
    const factor = Math.max(0, 1 + coefficientTrustedTo * draw.board[part]);
    return factor * stripMovement(wood, rings + ringsTrustedTo * draw.rings[part], from, to).strain;
  };
  return [strain(season.infill, 0), strain(season.grid, 1)];
}

/**
 * By what share of its own growth a strip outgrows the slot of a lap that it lies in. A slot's sides keep their places along the grain of the strip that it is cut through. Cut at the angle α
 * to that strip, it is as wide as their distance times sin α; growth by the strain ε turns them to tan α·(1 + ε) and so widens the slot by ε·cos² α, where the strip in it grows by ε: what
 * is left is sin² α. 1 where strips cross at right angles, ¾ at the 60° of a three-way grid.
 *
 * @param walls of the cell; strips cross as its first wall meets the next one that is not parallel to it
 */
export function lapTightening(walls: readonly Pick<Wall, "normal">[]): number {
  const sines = walls.map(({ normal }) => Math.sin(normal - at(walls, 0).normal) ** 2);
  return sines.find((sine) => sine > 1e-9) ?? 1;
}
