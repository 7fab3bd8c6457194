import { at } from "../../core/numeric/dense.js";
import { normalQuantile } from "../../core/numeric/normal.js";
import { tQuantile } from "../../core/numeric/student-t.js";
import type { CellDraws } from "../../inference/forecast/cell-drawer.js";
import { effectiveCount } from "../../inference/forecast/shop-range.js";
import { CONFIDENCE, chanceFrom, type Estimated } from "../../inference/forecast/tally-blocks.js";
import type { Order } from "../../model/cell/cell.js";
import { sourceText } from "../../render/source-text.js";
import { typeA } from "../../uncertainty/type-a.js";
import { GRID_PARTS, type PanelSources, type SteadyParts } from "./draw-panel.js";
import { type GridSpreads, PANEL_WAYS, type PanelWay } from "./grid-shape.js";
import {
  PanelTally,
  type PanelTask,
  panelBlocks,
  panelRows,
  type ReadyPanel,
  ROW,
  readyPanel,
} from "./panel-tally.js";

/** The same panels seated in first and in exact order. */
export interface ComparedOrders {
  /** Number of panels simulated. */
  readonly panels: number;
  /** Probability that every cell closes, and mean number of cells to re-fit, in either order. */
  readonly closes: Readonly<Record<Order, Estimated>>;
  readonly refits: Readonly<Record<Order, Estimated>>;
  /** Share of panels that close in one order and not in the other. */
  readonly changed: Estimated;
  /** Exact order less first order, panel by panel: for the probability that every cell closes, and for the number of cells to re-fit. */
  readonly difference: { readonly closes: Estimated; readonly refits: Estimated };
}

/** @throws UserError (code "seating") when a cell finds no equilibrium. */
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

/** Results for the same panels, made in one of the ways. */
export interface ComparedWay {
  readonly way: PanelWay;
  /** Number of panels simulated. */
  readonly panels: number;
  readonly closes: Estimated;
  readonly refits: Estimated;
  /** Decrease of the number of cells to re-fit, compared with pieces used as they come from the stops. */
  readonly fewerRefits: Estimated;
}

/**
 * Simulates the same panels, made in each way.
 *
 * @param onWay called after each way; if it returns false, the simulation is aborted and the result is `null`.
 * @throws UserError (code "seating") when a cell finds no equilibrium.
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
      way,
      panels: task.panels,
      closes: chanceFrom(fails.filter((count) => count === 0).length, task.panels),
      refits: meanCount(fails),
      fewerRefits: meanOver(before.map((count, k) => count - at(fails, k))),
    });
    if (!(await onWay(compared.length, PANEL_WAYS.length))) return null;
  }
  return compared;
}

/**
 * Number of cells that do not close in each of a task's panels, simulated on this thread only.
 *
 * @throws UserError (code "seating") when a cell finds no equilibrium.
 */
export function failsOf(ready: ReadyPanel, steady?: SteadyParts): Float64Array {
  const { task } = ready;
  const rows = panelRows(task);
  const tally = new PanelTally(ready, steady);
  const blocks = panelBlocks(task.panels, tally.places.fails.length);
  for (let block = 0; block < blocks; block++) tally.work(block, rows);
  return Float64Array.from({ length: task.panels }, (_, k) => at(rows, k * ROW.numbers + ROW.fails));
}

const TAIL = (1 + CONFIDENCE) / 2;

/**
 * Mean of a figure over simulated panels, with 95 % bounds (Student's t over panels, which are independent, whereas the cells of a panel are not).
 *
 * @param shops the shops that the panels are drawn from in turn, if their number is limited.
 */
export function meanOver(values: ArrayLike<number>, shops: CellDraws["shops"] = null): Estimated {
  const { mean, standardUncertainty, degreesOfFreedom } = typeA(Array.from(values));
  const widened = Math.sqrt(values.length / effectiveCount(values, shops));
  const margin = widened * standardUncertainty * tQuantile(TAIL, degreesOfFreedom);
  return { value: mean, low: mean - margin, high: mean + margin };
}

/**
 * Mean of a count over simulated panels. If all counts are zero, the upper bound is the exact one of a Poisson count: with a larger mean
 * there would have been at least one event with a probability of 97.5 %.
 */
export function meanCount(counts: ArrayLike<number>, shops: CellDraws["shops"] = null): Estimated {
  const mean = meanOver(counts, shops);
  if (mean.value === 0) return { value: 0, low: 0, high: -Math.log(1 - TAIL) / counts.length };
  return { ...mean, low: Math.max(0, mean.low) };
}

/** The value that the share p of the panels does not exceed; 95 % bounds from the ranks between which it lies (binomial, approximated as normal). */
export function quantileOver(values: Float64Array, p: number, shops: CellDraws["shops"] = null): Estimated {
  const sorted = values.slice().sort();
  const n = sorted.length;
  const ranked = (r: number): number => at(sorted, Math.min(Math.max(Math.ceil(r), 1), n) - 1);
  const margin = normalQuantile(TAIL) * n * Math.sqrt((p * (1 - p)) / effectiveCount(values, shops));
  return { value: ranked(p * n), low: ranked(p * n - margin), high: ranked(p * n + margin + 1) };
}

/** A source, or several sources together, and its effect on the panel. */
export interface PanelBudgetLine {
  readonly name: string;
  /** Whether its error is shared by the whole panel or is different for each cut, lap or strip; `mixed` for several sources of both kinds. */
  readonly kind: "shared" | "own" | "mixed";
  /** Decrease of the number of cells to re-fit, and increase of the probability that the whole panel closes, if its error did not vary but had its expected value, which is 0 unless a record gives another. */
  readonly fewerRefits: Estimated;
  readonly closesMore: Estimated;
}

/** Number of cells to re-fit that is due to each source. */
export interface PanelBudget {
  /** Number of panels simulated for each line, the same ones. */
  readonly panels: number;
  /** Number of cells to re-fit in one panel, with every source as it is. */
  readonly refits: Estimated;
  /** Single sources, the one with the largest effect first. */
  readonly sources: readonly PanelBudgetLine[];
  /** Sources together: all shared ones and all others; all of the pieces and all of the grid. */
  readonly together: readonly PanelBudgetLine[];
}

interface Part extends SteadyParts {
  readonly name: string;
  readonly kind: PanelBudgetLine["kind"];
  readonly of: readonly ("pieces" | "grid")[];
}

/**
 * Determines what drives the panel: the same panels are simulated again with one source held steady, then with several.
 *
 * @param ready the prepared simulation; its task gives the number of panels.
 * @param onLine called after each line; if it returns false, the budget is aborted and the result is `null`.
 * @throws UserError (code "seating") when a cell finds no equilibrium.
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
      name: part.name,
      kind: part.kind,
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

/** Parts of the grid that have one common error per panel. */
const SHARED_PARTS: ReadonlySet<keyof GridSpreads> = new Set(["batch", "racked"]);

function partsOf({ groups, spreads, batchDraw }: PanelSources): Part[] {
  const same = batchDraw >= 0;
  const pieces = groups.map(({ id, shared, draws }): Part => {
    const batch = same && draws.includes(batchDraw);
    return {
      name: sourceText(id),
      kind: shared ? "shared" : "own",
      of: batch ? ["pieces", "grid"] : ["pieces"],
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
        name,
        kind,
        of: [],
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
