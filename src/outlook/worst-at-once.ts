import { createSeater, type SeaterOptions } from "../kernel/fitted/create-seater.js";
import { cellModel } from "../predict/cell-model.js";
import { worstCase } from "../propagate/worst-case.js";
import { SeatingError } from "../seating/seating-model.js";
import { linearSlopes } from "./linear-slopes.js";
import type { OutlookSources } from "./outlook-sources.js";

/** How far every source stands from what is expected of it, in its standard deviations. */
export const DEVIATIONS_AT_ONCE = 2;

/** The worst cell with every source of error that far off at once. */
export interface WorstAtOnce {
  /** Standard deviations each source stands off at the most; {@link DEVIATIONS_AT_ONCE}. */
  readonly deviations: number;
  /** Number of sources that were moved: shared ones, and every cut, piece and wall by itself. */
  readonly sources: number;
  /** Largest gap and deepest press that were found, mm ≥ 0, each with the sources against it: a search, so they are at least as large. */
  readonly worstGap: number;
  readonly worstPress: number;
}

/**
 * What adding up all tolerances would say of the next cell: every draw anywhere within ± two standard deviations, the way that does most harm. The search sets out
 * from where the slopes of each gap point, among others. `null` where errors that large leave the pieces of some cell without a rest.
 */
export function worstAtOnce(
  sources: OutlookSources,
  options: Omit<SeaterOptions, "inputs">,
): WorstAtOnce | null {
  try {
    return searched(sources, options);
  } catch (error) {
    if (error instanceof SeatingError) return null;
    throw error;
  }
}

function searched(sources: OutlookSources, options: Omit<SeaterOptions, "inputs">): WorstAtOnce {
  const { cell, inputs } = sources;
  const { gap, byDraw } = linearSlopes(sources, options);
  const kernel = createSeater(cellModel(cell), { ...options, inputs });
  const box = Array.from({ length: inputs.draws }, (_, k) => ({
    name: `draw ${k}`,
    lo: -DEVIATIONS_AT_ONCE,
    hi: DEVIATIONS_AT_ONCE,
  }));
  const opening = Array.from(gap, (_, probe) =>
    Float64Array.from(box, ({ lo, hi }, k) => (byDraw[probe * inputs.draws + k]! < 0 ? lo : hi)),
  );
  const starts = [...opening, ...opening.map((corner) => corner.map((x) => -x))];
  const largest = (read: (trial: number) => number): number => {
    const model = (draws: Float64Array): number => {
      kernel.drawsOf(0).set(draws);
      kernel.seat(1);
      return read(0);
    };
    return worstCase(model, box, { starts }).maximum.value;
  };
  return {
    deviations: DEVIATIONS_AT_ONCE,
    sources: inputs.draws,
    worstGap: largest((trial) => kernel.worstGap(trial)),
    worstPress: largest((trial) => kernel.worstPress(trial)),
  };
}
