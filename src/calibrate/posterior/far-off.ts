import { choleskySolveInPlace } from "../../numeric/cholesky.js";
import type { TrialBlock } from "../trial-blocks.js";
import type { SourceLaw } from "./moments.js";
import { readingSpace } from "./reading-space.js";
import type { NormalRows } from "./trial-law.js";

/** A reading lies far off when it is this many standard deviations from what the others and the priors expect. */
const FAR_OFF = 4;

/** Leaves out readings that lie far off, one at a time, the worst first: a gross mistake makes others look bad too. */
export function withoutFarOff(
  all: readonly NormalRows[],
  blocks: readonly TrialBlock[],
  lawOf: (rows: readonly NormalRows[]) => SourceLaw,
): readonly NormalRows[] {
  let rows = all;
  for (;;) {
    const law = lawOf(rows);
    let worst = { block: -1, row: -1, off: FAR_OFF };
    for (const [block, one] of rows.entries()) {
      for (const [row, off] of offsOf(one, blocks[block]!.latents, law).entries())
        if (off > worst.off) worst = { block, row, off };
    }
    if (worst.block < 0) return rows;
    rows = rows.with(worst.block, without(rows[worst.block]!, worst.row, blocks[worst.block]!.latents));
  }
}

/**
 * How far each reading of a trial lies from what all the others and the priors expect, in standard deviations of that difference:
 * |S⁻¹y| / √(S⁻¹) with S = D + B·Bᵀ the covariance of all readings and D = I + A·Aᵀ that of the trial's at known sources.
 */
function offsOf({ a, b, y }: NormalRows, n: number, { mean, covariance }: SourceLaw): Float64Array {
  const [r, p] = [y.length, mean.length];
  const factor = readingSpace(a, r, n);
  const left = y.map((value, i) => mean.reduce((sum, x, c) => sum - b[i * p + c]! * x, value));
  choleskySolveInPlace(factor, r, left);
  return left.map((value, i) => {
    const own = new Float64Array(r);
    own[i] = 1;
    choleskySolveInPlace(factor, r, own);
    const seen = Float64Array.from({ length: p }, (_, c) =>
      own.reduce((sum, weight, k) => sum + weight * b[k * p + c]!, 0),
    );
    let precision = own[i]!;
    for (let c = 0; c < p; c++)
      for (let d = 0; d < p; d++) precision -= seen[c]! * covariance[c * p + d]! * seen[d]!;
    return Math.abs(value) / Math.sqrt(precision);
  });
}

function without({ a, b, y }: NormalRows, row: number, n: number): NormalRows {
  const p = b.length / y.length;
  const but = (values: Float64Array, width: number): Float64Array =>
    values.filter((_, k) => Math.floor(k / width) !== row);
  return { a: n === 0 ? a : but(a, n), b: but(b, p), y: but(y, 1) };
}
