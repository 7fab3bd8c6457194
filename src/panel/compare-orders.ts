import { chanceFrom, type Estimated } from "../outlook/estimated.js";
import type { Order } from "../lattice/cell.js";
import { failsOf } from "./fails-of.js";
import { meanOver } from "./panel-estimates.js";
import { type PanelTask, readyPanel } from "./panel-task.js";

/** The same panels seated in first and in exact order. */
export interface ComparedOrders {
  readonly panels: number;
  /** Chance that every cell closes, and mean number of cells to re-fit, by either order. */
  readonly closes: Readonly<Record<Order, Estimated>>;
  readonly refits: Readonly<Record<Order, Estimated>>;
  /** Panels that close by one order and not by the other. */
  readonly changed: Estimated;
  /** Exact order less first, panel by panel: of the chance that every cell closes, and of the cells to re-fit. */
  readonly difference: { readonly closes: Estimated; readonly refits: Estimated };
}

/** @throws SeatingError when a cell finds no rest. */
export function compareOrders(task: PanelTask): ComparedOrders {
  const [first, exact] = (["first", "exact"] as const).map((order) =>
    failsOf(readyPanel({ ...task, order })),
  );
  const { panels } = task;
  const closed = (fails: Float64Array): Estimated =>
    chanceFrom(fails.filter((count) => count === 0).length, panels);
  const sides = first!.map((count, k) => Number(exact![k] === 0) - Number(count === 0));
  const changed = sides.filter((side) => side !== 0).length;
  return {
    panels,
    closes: { first: closed(first!), exact: closed(exact!) },
    refits: { first: meanOver(first!), exact: meanOver(exact!) },
    changed: chanceFrom(changed, panels),
    difference: {
      closes: meanOver(sides),
      refits: meanOver(first!.map((count, k) => exact![k]! - count)),
    },
  };
}
