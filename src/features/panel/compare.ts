import { at } from "../../core/numeric/dense.js";
import { normalQuantile } from "../../core/numeric/normal.js";
import { tQuantile } from "../../core/numeric/student-t.js";
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
  /** Chance that every cell closes, and mean number of cells to re-fit, by either order. */
  readonly closes: Readonly<Record<Order, Estimated>>;
  readonly refits: Readonly<Record<Order, Estimated>>;
  /** Panels that close by one order and not by the other. */
  readonly changed: Estimated;
  /** Exact order less first, panel by panel: of the chance that every cell closes, and of the cells to re-fit. */
  readonly difference: { readonly closes: Estimated; readonly refits: Estimated };
}

/** @throws UserError (code "seating") when a cell finds no rest. */
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

/** The same panels made in one of the ways. */
export interface ComparedWay {
  readonly way: PanelWay;
  /** Number of panels simulated. */
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
 * @throws UserError (code "seating") when a cell finds no rest.
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
      fewerRefits: meanOver(before.map((count, k) => count - at(fails, k))),
    });
    if (!(await onWay(compared.length, PANEL_WAYS.length))) return null;
  }
  return compared;
}

/**
 * Cells that do not close, of each of a task's panels, on this thread alone.
 *
 * @throws UserError (code "seating") when a cell finds no rest.
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

/** Mean of a figure over simulated panels, with its bounds (95 %, Student's t: panels are independent of each other, their cells are not). */
export function meanOver(values: ArrayLike<number>): Estimated {
  const { mean, standardUncertainty, degreesOfFreedom } = typeA(Array.from(values));
  const margin = standardUncertainty * tQuantile(TAIL, degreesOfFreedom);
  return { value: mean, low: mean - margin, high: mean + margin };
}

/**
 * Mean of a count over simulated panels. Where nothing was ever counted the upper bound is the exact one of a Poisson count: with a larger mean
 * there would have been one with 97.5 % chance.
 */
export function meanCount(counts: ArrayLike<number>): Estimated {
  const mean = meanOver(counts);
  if (mean.value === 0) return { value: 0, low: 0, high: -Math.log(1 - TAIL) / counts.length };
  return { ...mean, low: Math.max(0, mean.low) };
}

/** The value that the share p of the panels does not exceed; bounds (95 %) from the ranks between which it lies (binomial, taken as normal). */
export function quantileOver(values: Float64Array, p: number): Estimated {
  const sorted = values.slice().sort();
  const n = sorted.length;
  const ranked = (r: number): number => at(sorted, Math.min(Math.max(Math.ceil(r), 1), n) - 1);
  const margin = normalQuantile(TAIL) * Math.sqrt(p * (1 - p) * n);
  return { value: ranked(p * n), low: ranked(p * n - margin), high: ranked(p * n + margin + 1) };
}

/** A source, or several of them together, and what it costs the panel. */
export interface PanelBudgetLine {
  readonly name: string;
  /** Whether one error of it is shared by the whole panel, or each cut, lap or strip has its own; `mixed` for several together. */
  readonly kind: "shared" | "own" | "mixed";
  /** By how many the cells to re-fit would be fewer, and by how much likelier the whole panel would close, if it did not vary: if its error stood where it is expected to be, at nil unless a record says otherwise. */
  readonly fewerRefits: Estimated;
  readonly closesMore: Estimated;
}

/** How many cells to re-fit each source costs. */
export interface PanelBudget {
  /** Number of panels simulated for each line, the same ones. */
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
 * @throws UserError (code "seating") when a cell finds no rest.
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
  const pieces = groups.map(({ id, shared, draws }): Part => {
    const batch = same && draws.includes(batchDraw);
    return {
      ...{
        name: sourceText(id),
        kind: shared ? "shared" : "own",
        of: batch ? ["pieces", "grid"] : ["pieces"],
      },
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
