import type { Cell } from "../lattice/cell.js";
import { cellModel } from "../predict/cell-model.js";
import { SIGN_BAND, springs } from "../seating/energy.js";
import { gapSensitivity } from "../seating/gap-sensitivity.js";
import { seatOne } from "./kept-kernel.js";

/** Gaps at rest at first order, and how they answer to the elementary errors. */
export interface LinearGaps {
  readonly gap: Float64Array;
  /** Derivatives of a probe's gap by every elementary error. */
  slopesOf(probe: number): Float64Array;
}

/** Regions that are remembered for each cell; the one met longest ago is forgotten. */
const MOST_REGIONS = 400;

/** Slopes by probe, of the errors under which the same probes are open and the same pressed: there the gaps are one linear map of the errors. */
type Region = Map<number, Float64Array>;

const regions = new WeakMap<Cell, Map<string, Region>>();

/**
 * Gaps at rest at first order. Slopes depend on which probes are pressed alone, and are worked out once for each probe that is asked for.
 *
 * @throws SeatingError when the pieces find no rest.
 */
export function linearGaps(cell: Cell, errors: Float64Array, pressRatio: number): LinearGaps {
  const { gap } = seatOne(cell, errors, { order: "first", pressRatio });
  // A gap of zero to rounding counts as open.
  const pressed = Uint8Array.from(gap, (g) => (g < -SIGN_BAND ? 1 : 0));
  const region = remembered(cell, `${pressRatio} ${pressed.join("")}`);
  return {
    gap,
    slopesOf(probe) {
      const known = region.get(probe) ?? slopesAt(cell, gap, pressed, pressRatio, probe);
      region.set(probe, known);
      return known;
    },
  };
}

function remembered(cell: Cell, key: string): Region {
  const known = regions.get(cell) ?? new Map<string, Region>();
  regions.set(cell, known);
  const region = known.get(key) ?? new Map<number, Float64Array>();
  known.delete(key);
  known.set(key, region);
  if (known.size > MOST_REGIONS) known.delete(known.keys().next().value!);
  return region;
}

function slopesAt(
  cell: Cell,
  gap: Float64Array,
  pressed: Uint8Array,
  pressRatio: number,
  probe: number,
): Float64Array {
  const { seating, nominal, responses, direct } = cellModel(cell);
  const columns = direct.length / gap.length;
  const at = { gap, moves: nominal.moves };
  return gapSensitivity(seating, at, springs(seating, pressed, pressRatio), responses, columns, false, [
    probe,
  ]);
}
