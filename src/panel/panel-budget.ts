import type { Estimated } from "../outlook/estimated.js";
import type { SteadyParts } from "./draw-panel.js";
import { failsOf } from "./fails-of.js";
import type { GridSpreads } from "./grid-spreads.js";
import { meanCount, meanOver } from "./panel-estimates.js";
import { GRID_PARTS, type PanelSources } from "./panel-sources.js";
import type { ReadyPanel } from "./panel-task.js";

/** A source, or several of them together, and what it costs the panel. */
export interface PanelBudgetLine {
  readonly name: string;
  /** Whether one error of it is shared by the whole panel, or each cut, lap or strip has its own; `mixed` for several together. */
  readonly kind: "shared" | "own" | "mixed";
  /** By how many the cells to re-fit would be fewer, and by how much likelier the whole panel would close, if it did not vary: if its error stood where it is expected to be, at nil unless a record says otherwise. */
  readonly fewerRefits: Estimated;
  readonly closesMore: Estimated;
}

export interface PanelBudget {
  /** Panels simulated for each line, the same ones. */
  readonly panels: number;
  /** Cells of one of them to re-fit, with every source as it is. */
  readonly refits: Estimated;
  /** Sources one by one, the costliest first. */
  readonly sources: readonly PanelBudgetLine[];
  /** All shared ones and all others; all of the pieces and all of the grid. */
  readonly together: readonly PanelBudgetLine[];
}

interface Part extends SteadyParts {
  readonly name: string;
  readonly kind: PanelBudgetLine["kind"];
  readonly of: readonly ("pieces" | "grid")[];
}

/**
 * What drives the panel: the same panels are simulated again with one source steady, then several together.
 *
 * @param ready its task says how many panels.
 * @param onLine called after each line; the budget is given up (`null`) when it answers false.
 * @throws SeatingError when a cell finds no rest.
 */
export async function panelBudget(
  ready: ReadyPanel,
  onLine: (done: number, of: number) => Promise<boolean>,
): Promise<PanelBudget | null> {
  const parts = partsOf(ready.sources);
  const together = sumsOf(parts);
  const before = failsOf(ready);
  const lines: PanelBudgetLine[] = [];
  for (const part of [...parts, ...together]) {
    const after = failsOf(ready, part);
    const closed = (counts: Float64Array, at: number): number => (counts[at] === 0 ? 1 : 0);
    lines.push({
      ...{ name: part.name, kind: part.kind },
      fewerRefits: meanOver(before.map((fails, at) => fails - after[at]!)),
      closesMore: meanOver(before.map((_, at) => closed(after, at) - closed(before, at))),
    });
    if (!(await onLine(lines.length, parts.length + together.length))) return null;
  }
  return {
    panels: ready.task.panels,
    refits: meanCount(before),
    sources: lines
      .slice(0, parts.length)
      .sort((a, b) => b.fewerRefits.value - a.fewerRefits.value || b.closesMore.value - a.closesMore.value),
    together: lines.slice(parts.length),
  };
}

/** Parts of the grid of which a panel has one error. */
const SHARED_PARTS: ReadonlySet<keyof GridSpreads> = new Set(["batch", "racked"]);

function partsOf({ groups, spreads, batchDraw }: PanelSources): Part[] {
  const same = batchDraw >= 0;
  const pieces = groups.map(({ name, shared, draws }): Part => {
    const batch = same && draws.includes(batchDraw);
    return {
      ...{ name, kind: shared ? "shared" : "own", of: batch ? ["pieces", "grid"] : ["pieces"] },
      draws: new Set(draws),
      grid: new Set(batch ? (["batch"] as const) : []),
    };
  });
  const grid = Object.entries(GRID_PARTS).flatMap(([name, keys]): Part[] => {
    if (keys.every((key) => spreads[key] === 0 || (same && key === "batch"))) return [];
    const kind = keys.some((key) => SHARED_PARTS.has(key)) ? "shared" : "own";
    return [{ name, kind, of: ["grid"], draws: new Set(), grid: new Set(keys) }];
  });
  return [...pieces, ...grid];
}

function sumsOf(parts: readonly Part[]): Part[] {
  const sum = (name: string, kind: Part["kind"], wanted: (part: Part) => boolean): Part[] => {
    const of = parts.filter(wanted);
    if (of.length === 0) return [];
    return [
      {
        ...{ name, kind, of: [] },
        draws: new Set(of.flatMap(({ draws }) => [...draws])),
        grid: new Set(of.flatMap(({ grid }) => [...grid])),
      },
    ];
  };
  return [
    ...sum("all that the whole panel shares", "shared", ({ kind }) => kind === "shared"),
    ...sum("all from cut to cut, lap to lap, strip to strip", "own", ({ kind }) => kind === "own"),
    ...sum("all of the pieces", "mixed", ({ of }) => of.includes("pieces")),
    ...sum("all of the grid", "mixed", ({ of }) => of.includes("grid")),
  ];
}
