import type { CellModel } from "../predict/cell-model.js";
import { settleWithSlopes } from "../predict/settle.js";
import { SIGN_BAND } from "../seating/energy.js";

/** Gaps at rest at first order, and their derivatives by every elementary error. */
export interface LinearGaps {
  readonly gap: Float64Array;
  /** Row-major (probe, error); the same array for all errors under which the same probes are pressed. */
  readonly slopes: Float64Array;
}

/** Errors under which the same probes are open and the same pressed: there the gaps are one linear map of the errors. */
interface Region {
  /** 1 for a probe that is pressed. */
  readonly pressed: Float64Array;
  readonly slopes: Float64Array;
  readonly columns: number;
}

/** Regions that are remembered for each cell, the last one entered first. */
const MOST_REGIONS = 24;

const regions = new WeakMap<CellModel, Map<number, Region[]>>();

/**
 * Gaps at rest at first order. The least energy is unique, so a region's linear map that gives gaps of its own signs has found it; only where no region
 * remembered does are the pieces settled anew, and the gaps then come from the new region's map too: what is remembered changes no digit.
 *
 * @throws SeatingError when the pieces find no rest.
 */
export function linearGaps(model: CellModel, errors: Float64Array, pressRatio: number): LinearGaps {
  const known = remembered(model, pressRatio);
  for (const [place, region] of known.entries()) {
    const gap = gapsIn(region, errors);
    if (gap === null) continue;
    if (place > 0) known.unshift(...known.splice(place, 1));
    return { gap, slopes: region.slopes };
  }
  const { rest, slopes } = settleWithSlopes(model, errors, { order: "first", pressRatio });
  const region = { pressed: rest.gap.map((g) => (isPressed(g) ? 1 : 0)), slopes, columns: errors.length };
  known.unshift(region);
  if (known.length > MOST_REGIONS) known.pop();
  return { gap: gapsIn(region, errors) ?? rest.gap, slopes };
}

function remembered(model: CellModel, pressRatio: number): Region[] {
  const byRatio = regions.get(model) ?? new Map<number, Region[]>();
  regions.set(model, byRatio);
  const known = byRatio.get(pressRatio) ?? [];
  byRatio.set(pressRatio, known);
  return known;
}

/** A gap of zero to rounding counts as open. */
const isPressed = (gap: number): boolean => gap < -SIGN_BAND;

/** The region's gaps, or `null` as soon as one has not the region's sign. */
function gapsIn({ pressed, slopes, columns }: Region, errors: Float64Array): Float64Array | null {
  const gap = new Float64Array(pressed.length);
  for (let i = 0; i < gap.length; i++) {
    let sum = 0;
    const row = i * columns;
    for (let c = 0; c < columns; c++) sum += slopes[row + c]! * errors[c]!;
    if (isPressed(sum) !== (pressed[i] === 1)) return null;
    gap[i] = sum;
  }
  return gap;
}
