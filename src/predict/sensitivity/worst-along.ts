import type { Cell } from "../../lattice/cell.js";
import { predictCell } from "../predict-cell.js";
import type { ErrorDirection } from "./error-directions.js";

/** A cell with one kind of error at one size. */
export interface WorstAt {
  /** rad or mm, as the error has it. */
  readonly size: number;
  /** mm, ≥ 0, exact order and first order. */
  readonly worstGap: number;
  readonly worstPress: number;
  readonly firstOrderGap: number;
  readonly firstOrderPress: number;
  /** Largest difference of any gap between the orders, mm. */
  readonly firstOrderDifference: number;
}

/** The worst gap and press of a cell as one kind of error grows, in both orders; `sizes` in rad or mm, as the error has it. */
export function worstAlong(cell: Cell, { errors }: ErrorDirection, sizes: readonly number[]): WorstAt[] {
  return sizes.map((size) => {
    const sized = errors.map((value) => size * value);
    const exact = predictCell(cell, sized);
    const first = predictCell(cell, sized, { order: "first" });
    return {
      ...{ size, worstGap: exact.worstGap, worstPress: exact.worstPress },
      ...{ firstOrderGap: first.worstGap, firstOrderPress: first.worstPress },
      firstOrderDifference: exact.firstOrderDifference,
    };
  });
}
