/** Width of every drawing on the sheet, mm of paper. */
export const DRAWING_WIDTH = 46;
/** Where a stop's face lies in its drawing, with room for its move on the left, mm of paper. */
export const STOP_FACE = 8.6;

/** mm of paper. */
const LONGEST_PIECE = DRAWING_WIDTH - STOP_FACE - 2;
const LARGEST_MOVE = 5;
const THICKEST_SHIM = 2.2;
/** mm of paper for a mm of ramp, at most. */
const RAMP = 0.5;

/** How the drawings of one sheet are scaled, alike for all jigs. */
export interface DrawingScale {
  /** mm of paper for a mm along a piece. */
  readonly length: number;
  /** mm of paper for a mm that a stop is moved; a round number of times `length`. */
  readonly move: number;
  /** How many times larger than pieces and ramps the moves of stops and the leaves under ramps are drawn. */
  readonly moveMagnified: number;
  readonly leafMagnified: number;
}

/**
 * The scale at which the longest piece, the largest move and the thickest shim fit.
 *
 * @param longest longest setting of a stop, mm; `moves` of stops and thicknesses of `shims`, mm
 */
export function drawingScale(
  longest: number,
  moves: readonly number[],
  shims: readonly number[],
): DrawingScale {
  const length = LONGEST_PIECE / longest;
  const moveMagnified = roundFactor(LARGEST_MOVE / length, moves);
  return {
    length,
    moveMagnified,
    move: length * moveMagnified,
    leafMagnified: roundFactor(THICKEST_SHIM / RAMP, shims),
  };
}

/** The largest round number that brings the largest value to no more than `room`; at least 1. */
function roundFactor(room: number, values: readonly number[]): number {
  const largest = Math.max(...values.map(Math.abs), 0);
  if (largest === 0) return 1;
  const most = room / largest;
  const decade = 10 ** Math.floor(Math.log10(most));
  const factor = [8, 6, 5, 4, 3, 2, 1]
    .map((step) => step * decade)
    .find((value) => value <= most * (1 + 1e-12));
  return Math.max(1, Number((factor ?? 1).toPrecision(1)));
}
