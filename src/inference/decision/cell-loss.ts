import { at } from "../../core/numeric/dense.js";
import type { Cell } from "../../model/cell/cell.js";
import { closingLimits, type Job } from "../../model/job/job.js";

/** What a job says about losses. */
type LossTerms = Pick<Job, "limits" | "costs" | "lengths">;

const MOST_TIGHT = 5;
const MOST_GAPS = 3;

/** Where the gaps of one piece are read, as indices into the cell's probes. */
export interface PieceProbes {
  /** All probes of its joints. */
  readonly all: Int32Array;
  /** Probes of its first and of its second end. */
  readonly ends: readonly Int32Array[];
  /** Probes of its joints with a wall or with a piece inserted before it: if one of these is pressed, this piece is the one that is trimmed. */
  readonly trimmed: Int32Array;
}

/** Where the gaps of each piece of a cell are read; pieces are inserted in the order in which the pattern lists them. */
export function pieceProbes({ pieces, probes, faces }: Cell): PieceProbes[] {
  return pieces.map((_, body) => {
    const own = probes.flatMap(({ joint }, place) => {
      const both = [at(faces, joint.first), at(faces, joint.mate)];
      const face = both.find((one) => one.body === body);
      const other = both.find((one) => one.body !== body);
      return face ? [{ place, end: face.cut?.end, last: (other?.body ?? -1) < body }] : [];
    });
    const placesOf = (some: typeof own): Int32Array => Int32Array.from(some, ({ place }) => place);
    return {
      all: placesOf(own),
      ends: [-1, 1].map((side) => placesOf(own.filter(({ end }) => end === side))),
      trimmed: placesOf(own.filter(({ last }) => last)),
    };
  });
}

/**
 * Losses of cells as a function of their gaps, multiplied by the number of cells in the batch, in scrapped pieces; one list for each scale of the limits. A cell loses a piece when a gap is over the limit, work for
 * each piece that has to be trimmed, and for each piece an amount for its looks and its looseness (`COSTS` in model/job/job.ts). If pieces are fitted by trial, trimming is part of the
 * normal work and no piece is too tight. This is the inner loop of every decision, so gaps are read without bounds checks.
 *
 * @param pieces where the gaps of each piece are read.
 * @param gapsOf the signed gaps of a cell, one for each probe, mm; > 0 open.
 * @param scales factors applied to both limits, > 0.
 */
export function lossesOfGaps(
  pieces: readonly PieceProbes[],
  gapsOf: (cell: number) => Float64Array,
  cells: number,
  job: LossTerms,
  scales: readonly number[],
): Float64Array[] {
  const { costs } = job;
  const limits = closingLimits(job);
  const losses = scales.map(() => new Float64Array(cells));
  for (let cell = 0; cell < cells; cell++) {
    const gaps = gapsOf(cell);
    let widest = 0;
    for (let piece = 0; piece < pieces.length; piece++) {
      const { all, ends, trimmed } = pieces[piece]!;
      let gap = 0;
      let press = 0;
      for (let i = 0; i < all.length; i++) gap = Math.max(gap, gaps[all[i]!]!);
      for (let i = 0; i < trimmed.length; i++) press = Math.max(press, -gaps[trimmed[i]!]!);
      widest = Math.max(widest, gap);
      // A piece without an open gap cannot be loose.
      const play = gap === 0 ? 0 : playOf(gaps, ends);
      for (let s = 0; s < scales.length; s++) {
        const wide = scales[s]! * limits.gap;
        const snug = scales[s]! * limits.snug;
        let loss = costs.gap * Math.min(gap / wide, MOST_GAPS) + costs.loosePiece * Math.min(play / wide, 1);
        if (press > snug) loss += costs.tightPiece * Math.min(press / snug, MOST_TIGHT);
        losses[s]![cell]! += costs.cells * loss;
      }
    }
    for (let s = 0; s < scales.length; s++)
      if (widest > scales[s]! * limits.gap) losses[s]![cell]! += costs.cells * costs.openCell;
  }
  return losses;
}

/** How far a piece can be pushed from end to end, mm: the smallest gap at one end plus the smallest at the other; 0 if it touches something at either end, or if nothing is read there. */
function playOf(gaps: Float64Array, ends: readonly Int32Array[]): number {
  let play = 0;
  for (const end of ends) {
    let least = end.length === 0 ? 0 : Number.POSITIVE_INFINITY;
    for (let i = 0; i < end.length && least > 0; i++) least = Math.min(least, gaps[end[i]!]!);
    if (least <= 0) return 0;
    play += least;
  }
  return play;
}
