import type { Arrangement } from "../lattice/arrangement.js";
import type { Cell } from "../lattice/cell.js";
import { cellProbes } from "../lattice/cell-probes.js";
import { type PlayCell, play, type Trims } from "./play-cell.js";

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
  return cellProbes(cell).reduce((most, { joint: { first, mate } }, i) => {
    if (cell.faces[first]!.body !== body && cell.faces[mate]!.body !== body) return most;
    return Math.max(most, -gaps[i]!.gap);
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
  const { worstPress } = play(played, sizes, all.trims).prediction;
  return { ...all, press: worstPress, goesIn: worstPress <= played.job.limits.snug };
}
