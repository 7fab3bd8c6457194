import { at } from "../../core/numeric/dense.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import type { Cell } from "../../model/cell/cell.js";
import { canRack, errorLayout, noErrors, rackedGrid, smallerSide } from "../../model/cell/cell-errors.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { shortJointNames } from "../../model/cell/joint-names.js";
import { setUpByGroup } from "../../model/shop.js";
import { shopSources, sourceMatrix } from "../../model/sources.js";
import { type CellPrediction, predictCell } from "../../physics/predict/predict-cell.js";
import { type PlayJob, playShop } from "./play-job.js";

/** How far each piece has been trimmed at its end, mm; what is absent has not been. */
export type Trims = Readonly<Record<string, number>>;

/** A job's cell, ready to be put together with any errors. */
export interface PlayCell {
  readonly job: PlayJob;
  readonly cell: Cell;
  /** Joints as makers say them, by their full names: `hinge-1 tip on diagonal`. */
  readonly names: ReadonlyMap<string, string>;
  /** Change of each elementary error by each slider (rad or mm), in the sliders' order. */
  readonly directions: readonly Float64Array[];
}

/** A cell as its sliders and trims have it. */
export interface Played {
  readonly errors: Float64Array;
  readonly prediction: CellPrediction;
}

export function playCell(job: PlayJob): PlayCell {
  const cell = compileCell(job.arrangement);
  const shop = playShop(job);
  const columns = shopSources(shop).length;
  const matrix = sourceMatrix(cell, shop, setUpByGroup(shop));
  const bySource = Array.from({ length: columns }, (_, c) =>
    noErrors(cell).map((_, row) => at(matrix, row * columns + c)),
  );
  return {
    job,
    cell,
    names: shortJointNames(cell),
    directions: [...bySource, ...(canRack(cell) ? [rackedGrid(cell)] : []), smallerSide(cell)],
  };
}

/**
 * The cell with every slider at a size (rad or mm, in the sliders' order) and its pieces trimmed, in exact order.
 *
 * @throws UserError (code "cutting-error" or "seating") when the errors are too much for a cell.
 */
export function play(
  { job, cell, directions }: PlayCell,
  sizes: readonly number[],
  trims: Trims = {},
): Played {
  const errors = noErrors(cell);
  for (const [k, direction] of directions.entries()) {
    for (let e = 0; e < errors.length; e++) errors[e] = at(errors, e) + (sizes[k] ?? 0) * at(direction, e);
  }
  const { indexOf } = errorLayout(cell);
  for (const { name, cuts } of cell.pieces) {
    for (const { face, end } of cuts) {
      if (end === 1) errors[indexOf("axial", name, face)]! -= trims[name] ?? 0;
    }
  }
  return { errors, prediction: predictCell(cell, errors, { order: "exact", pressRatio: job.pressRatio }) };
}

/** How many times life size movements may be drawn. */
export const MAGNIFICATIONS = [1, 2, 5, 10, 20, 50] as const;

/** What trimming came to. */
export interface Trimmed {
  readonly trims: Trims;
  /** Steps taken off this time. */
  readonly steps: number;
  /** Deepest press at the joints of the piece, or pieces, mm. */
  readonly press: number;
  /** Whether it goes in: nothing at its joints is pressed beyond the snug limit. */
  readonly goesIn: boolean;
}

/** Nobody shortens a piece further than this; then something else is wrong, mm. */
export const MOST_TRIMMED = 1;

/** Deepest press at the joints of a piece, mm, ≥ 0. */
export function pressOf(cell: Cell, gaps: readonly { readonly gap: number }[], piece: string): number {
  const body = cell.pieces.findIndex(({ name }) => name === piece);
  return cell.probes.reduce((most, { joint: { first, mate } }, i) => {
    if (at(cell.faces, first).body !== body && at(cell.faces, mate).body !== body) return most;
    return Math.max(most, -at(gaps, i).gap);
  }, 0);
}

/**
 * Shortens a piece at its end by small steps until it just goes in, as is done at the bench.
 *
 * @param step mm, > 0
 * @param most steps at most; 1 for a single stroke.
 */
export function trimPiece(
  played: PlayCell,
  sizes: readonly number[],
  trims: Trims,
  piece: string,
  step: number,
  most = Number.POSITIVE_INFINITY,
): Trimmed {
  const { cell, job } = played;
  let now = trims;
  for (let steps = 0; ; steps++) {
    const press = pressOf(cell, play(played, sizes, now).prediction.probes, piece);
    const goesIn = press <= job.limits.snug;
    const spent = (now[piece] ?? 0) + step > MOST_TRIMMED + step / 2;
    if (goesIn || steps >= most || spent) return { trims: now, steps, press, goesIn };
    // Rounded, so that ten strokes are one of ten times the size.
    now = { ...now, [piece]: Number(((now[piece] ?? 0) + step).toFixed(9)) };
  }
}

const inTurn = ({ stages, pieces }: Arrangement): string[] =>
  stages?.flat() ?? pieces.map(({ name }) => name);

/** Trims every piece in the order in which they are put in. */
export function trimInTurn(played: PlayCell, sizes: readonly number[], trims: Trims, step: number): Trimmed {
  let all: Trimmed = { trims, steps: 0, press: 0, goesIn: true };
  for (const piece of inTurn(played.job.arrangement)) {
    const { trims: now, steps, press, goesIn } = trimPiece(played, sizes, all.trims, piece, step);
    all = {
      trims: now,
      steps: all.steps + steps,
      press: Math.max(all.press, press),
      goesIn: all.goesIn && goesIn,
    };
  }
  const { deepestPress } = play(played, sizes, all.trims).prediction;
  return { ...all, press: deepestPress, goesIn: deepestPress <= played.job.limits.snug };
}
