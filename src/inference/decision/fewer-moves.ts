import { at } from "../../core/numeric/dense.js";
import { closingLimits, type Job } from "../../model/job/job.js";
import { NO_MOVE, nearestSetting, type Setting } from "./adjusters.js";
import { descend, type MoveSet, MoveTable, movedIn, movesOf } from "./choose-moves.js";
import { type DrawnCells, outcomesOf } from "./drawn-cells.js";

/** Results of a set of moves on the drawn cells. */
export interface SetOutcome {
  /** Share of the cells that close, 0 to 1. */
  readonly closes: number;
  /** Median of the widest gap of a cell, mm, ≥ 0. */
  readonly widestGap: number;
  /** Expected loss over the batch plus the cost of the moves, in scrapped pieces. */
  readonly loss: number;
}

/** A set of fewer moves with which at least as many cells would close; what the chosen set gains over it is narrower gaps. */
export interface FewerMoves {
  /** For each adjuster, in the order of the advice. */
  readonly settings: readonly Setting[];
  readonly fewer: SetOutcome;
  readonly chosen: SetOutcome;
}

/**
 * The moves that would be made if only closing counted, with no loss for gaps and play within the limits; `null` if those moves are no fewer, or close fewer cells.
 *
 * @param search a small number of drawn cells to search on; `table` holds those to compare on.
 * @param wanted change of each adjuster that would undo its error, rad or mm.
 */
export function fewerMoves(
  search: DrawnCells,
  table: MoveTable,
  chosen: MoveSet,
  wanted: readonly number[],
): FewerMoves | null {
  if (movedIn(chosen) < 2) return null;
  const { adjusters } = table;
  const bare: Job = { ...search.job, costs: { ...search.job.costs, gap: 0, loosePiece: 0 } };
  const byClosing = new MoveTable({ ...search, job: bare }, adjusters);
  const undone = adjusters.map(({ settings }, k) => nearestSetting(settings, at(wanted, k)));
  const ends = [adjusters.map(() => NO_MOVE), undone, chosen].map((start) =>
    descend(byClosing, start, wanted),
  );
  // The search uses few cells, so whether a set closes as many is judged on the cells of the table.
  const own = outcomeOf(table, chosen);
  const found = ends
    .filter((settings) => movedIn(settings) < movedIn(chosen))
    .sort((a, b) => byClosing.total(a) - byClosing.total(b))
    .map((settings) => ({ settings, fewer: outcomeOf(table, settings), chosen: own }));
  return found.find(({ fewer }) => fewer.closes >= own.closes) ?? null;
}

function outcomeOf(table: MoveTable, choice: MoveSet): SetOutcome {
  const { forecast, adjusters } = table;
  const { widestGap, deepestPress } = outcomesOf(forecast, movesOf(forecast.columns, adjusters, choice));
  const limits = closingLimits(forecast.job);
  const closed = widestGap.filter((gap, d) => gap <= limits.gap && at(deepestPress, d) <= limits.snug);
  return {
    closes: closed.length / forecast.draws,
    widestGap: at(widestGap.toSorted(), Math.floor(forecast.draws / 2)),
    loss: table.total(choice),
  };
}
