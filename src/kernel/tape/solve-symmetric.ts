import type { Tape } from "./tape.js";
import type { Value } from "./value.js";

export interface SymmetricSolution {
  readonly solution: Value[];
  /** The pivots Dᵢ in the order of elimination, beside the diagonal element that each began as. */
  readonly pivots: { readonly pivot: Value; readonly diagonal: Value }[];
}

/**
 * Solves A·x = b for a symmetric A by A = L·D·Lᵀ, taking the unknowns in `order`. Written for a full matrix;
 * on a tape the zeros of A leave nothing behind, so the order decides how much is recorded. Only the part of A on and below the diagonal, in that order, is read.
 */
export function solveSymmetric(
  tape: Tape,
  a: readonly (readonly Value[])[],
  b: readonly Value[],
  order: readonly number[],
): SymmetricSolution {
  const n = order.length;
  const left = order.map((row, i) => order.slice(0, i + 1).map((column) => a[row]![column]!));
  const right = order.map((row) => b[row]!);
  const pivots = left.map((row, i) => ({ pivot: row[i]!, diagonal: row[i]! }));
  const inverse: Value[] = [];
  const factor: Value[][] = order.map(() => []);
  for (let j = 0; j < n; j++) {
    const pivot = left[j]![j]!;
    pivots[j] = { ...pivots[j]!, pivot };
    inverse[j] = tape.divide(tape.constant(1), pivot);
    for (let i = j + 1; i < n; i++) {
      const l = tape.multiply(left[i]![j]!, inverse[j]!);
      factor[i]![j] = l;
      for (let k = j + 1; k <= i; k++) {
        left[i]![k] = tape.subtract(left[i]![k]!, tape.multiply(l, left[k]![j]!));
      }
      right[i] = tape.subtract(right[i]!, tape.multiply(l, right[j]!));
    }
  }
  const solution: Value[] = [];
  for (let j = n - 1; j >= 0; j--) {
    let x = tape.multiply(right[j]!, inverse[j]!);
    for (let i = j + 1; i < n; i++) x = tape.subtract(x, tape.multiply(factor[i]![j]!, solution[order[i]!]!));
    solution[order[j]!] = x;
  }
  return { solution, pivots };
}
