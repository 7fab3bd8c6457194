import { at, columnOf } from "../../core/numeric/dense.js";
import { closingLimits, type Job } from "../../model/job/job.js";
import type { Specimen } from "../likelihood/specimen.js";

/** Effect of one error by itself on a cell in which nothing else is off. */
export interface LoneError {
  /** The widest gap that it opens, or the deepest press if that is the larger share of its limit; mm, ≥ 0. */
  readonly kind: "gap" | "press";
  readonly size: number;
  /** The limit for it, mm. */
  readonly limit: number;
  /** Size over limit, a ratio. */
  readonly share: number;
  /** The joint at which it occurs, `piece.face|mate`, and which end of that joint. */
  readonly joint: string;
  readonly at: "toe" | "heel";
}

/**
 * The gap or press that an error of one source causes in a cell in which nothing else is off, at first order.
 *
 * @param error rad or mm.
 */
export function loneError(
  job: Pick<Job, "limits" | "lengths" | "pressRatio">,
  specimen: Specimen,
  source: number,
  error: number,
): LoneError {
  const { reader, cell, matrix } = specimen;
  const columns = matrix.length / cell.errorEntries.length;
  const errors = columnOf(matrix, source, columns).map((share) => share * error);
  const { gap } = reader.seatOne(errors, { order: "first", pressRatio: job.pressRatio });
  const limits = closingLimits(job);
  const read = gap.subarray(0, cell.probes.length);
  const place = (sign: 1 | -1): LoneError => {
    const probe = read.reduce((best, value, i) => (sign * value > sign * at(read, best) ? i : best), 0);
    const size = Math.max(0, sign * at(read, probe));
    const limit = sign === 1 ? limits.gap : limits.snug;
    const { joint, at: end } = at(cell.probes, probe);
    return {
      kind: sign === 1 ? "gap" : "press",
      size,
      limit,
      share: size / limit,
      joint: joint.name,
      at: end,
    };
  };
  const [open, pressed] = [place(1), place(-1)];
  return pressed.share > open.share ? pressed : open;
}
