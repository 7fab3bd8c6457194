import type { Season, StripWood } from "../job/season.js";
import { stripMovement } from "../movement/strip-movement.js";
import type { RandomStream } from "../numeric/random-stream.js";

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
  ...{ board: [0, 0], rings: [0, 0], shop: 0 },
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
    const to = within(moisture + moistureTrustedTo * draw.year[state]!);
    const factor = Math.max(0, 1 + coefficientTrustedTo * draw.board[part]);
    return factor * stripMovement(wood, rings + ringsTrustedTo * draw.rings[part], from, to).strain;
  };
  return [strain(season.infill, 0), strain(season.grid, 1)];
}
