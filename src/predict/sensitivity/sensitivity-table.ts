import type { Cell } from "../../lattice/cell.js";
import { cellProbes } from "../../lattice/cell-probes.js";
import { type ErrorDirection, errorDirections } from "./error-directions.js";
import { slopesByModel } from "./slopes-by-model.js";
import { slopesBySteps } from "./slopes-by-steps.js";
import { slopesBySymbols } from "./slopes-by-symbols.js";

/** What one sense of an error does to a cell at rest, per rad or per mm of it. */
export interface Sensitivity {
  readonly source: ErrorDirection;
  readonly sense: 1 | -1;
  /** The sense in the shop's word: `sharp`. */
  readonly word: string;
  /** Change of each gap, mm, in the order of `cellProbes`; by hand, by the model's derivatives, by steps. */
  readonly bySymbols: Float64Array;
  readonly byModel: Float64Array;
  readonly bySteps: Float64Array;
  /** Worst gap and press by the model, mm, ≥ 0, and where the gap is; `null` where none opens. */
  readonly worstGap: number;
  readonly worstPress: number;
  readonly widest: { readonly joint: string; readonly at: "toe" | "heel" } | null;
  /** Largest difference of any gap between the three ways, mm. */
  readonly difference: number;
}

/** Gaps that differ by less than this share are alike. */
const ALIKE = 1e-6;
/** A gap per rad or per mm of error below this, mm, is none. */
const CLOSED = 1e-9;

/** What every kind of error does to a cell, in both senses, worked out in three ways. */
export function sensitivityTable(
  cell: Cell,
  sources: readonly ErrorDirection[] = errorDirections(cell),
): Sensitivity[] {
  return sources.flatMap((source) => ([1, -1] as const).map((sense) => sensitivity(cell, source, sense)));
}

function sensitivity(cell: Cell, source: ErrorDirection, sense: 1 | -1): Sensitivity {
  const errors = source.errors.map((value) => sense * value);
  const bySymbols = slopesBySymbols(cell, errors);
  const byModel = slopesByModel(cell, errors);
  const bySteps = slopesBySteps(cell, errors);
  const worstGap = Math.max(0, ...byModel);
  // Of gaps that are alike the first, whatever their last digits.
  const widest = byModel.findIndex((gap) => gap >= worstGap * (1 - ALIKE));
  return {
    ...{ source, sense, bySymbols, byModel, bySteps },
    word: sense === 1 ? source.plus : source.minus,
    worstGap,
    worstPress: Math.max(0, ...byModel.map((gap) => -gap)),
    widest:
      worstGap < CLOSED
        ? null
        : { joint: cellProbes(cell)[widest]!.joint.name, at: cellProbes(cell)[widest]!.at },
    difference: byModel.reduce(
      (most, gap, i) => Math.max(most, Math.abs(gap - bySymbols[i]!), Math.abs(gap - bySteps[i]!)),
      0,
    ),
  };
}
