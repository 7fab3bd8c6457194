import { chanceFrom, type Estimated } from "../outlook/estimated.js";
import { failsOf } from "./fails-of.js";
import { meanCount, meanOver } from "./panel-estimates.js";
import { type PanelTask, readyPanel } from "./panel-task.js";
import { PANEL_WAYS, type PanelWay } from "./panel-ways.js";

/** The same panels made in one of the ways. */
export interface ComparedWay {
  readonly way: PanelWay;
  readonly panels: number;
  readonly closes: Estimated;
  readonly refits: Estimated;
  /** By how many the cells to re-fit are fewer than with pieces taken as they come from the stops. */
  readonly fewerRefits: Estimated;
}

/**
 * The same panels made in each way.
 *
 * @param onWay called after each way; given up (`null`) when it answers false.
 * @throws SeatingError when a cell finds no rest.
 */
export async function compareWays(
  task: PanelTask,
  onWay: (done: number, of: number) => Promise<boolean>,
): Promise<ComparedWay[] | null> {
  const compared: ComparedWay[] = [];
  let plain: Float64Array | null = null;
  for (const way of PANEL_WAYS) {
    const fails = failsOf(readyPanel({ ...task, way }));
    plain ??= fails;
    const before = plain;
    compared.push({
      ...{ way, panels: task.panels },
      closes: chanceFrom(fails.filter((count) => count === 0).length, task.panels),
      refits: meanCount(fails),
      fewerRefits: meanOver(before.map((count, k) => count - fails[k]!)),
    });
    if (!(await onWay(compared.length, PANEL_WAYS.length))) return null;
  }
  return compared;
}
