import type { PanelFrame } from "../job/panel.js";
import { chanceFrom, type Estimated } from "../outlook/estimated.js";
import type { GridShape } from "./grid-shape.js";
import { lengthDeviation } from "./lap-places.js";

/** Outer width or height of a panel over many, mm. */
export interface OuterSize {
  readonly nominal: number;
  readonly mean: number;
  readonly standardDeviation: number;
  /** What the laps of one strip alone give its length, mm: σ against a stop, σ√n indexed. */
  readonly byLaps: number;
}

/** How a panel's size suits its frame. */
export interface PanelSize {
  readonly width: OuterSize;
  readonly height: OuterSize;
  /** By how much the diagonals across the corners of the border differ for one standard deviation of racking, mm. */
  readonly diagonals: number;
  /** Chance that the panel goes into the frame with no more than the allowed play, that it is too large, that it is too small; `null` without a frame. */
  readonly frame: { readonly fits: Estimated; readonly large: Estimated; readonly small: Estimated } | null;
}

export function panelSize(shape: GridShape, widths: Float64Array, heights: Float64Array): PanelSize {
  const { laps, racked, frame } = shape.panel;
  return {
    width: { ...spreadOf(widths), nominal: shape.width, byLaps: lengthDeviation(laps, shape.laps.across) },
    height: { ...spreadOf(heights), nominal: shape.height, byLaps: lengthDeviation(laps, shape.laps.down) },
    diagonals: diagonalDifference(shape.width, shape.height, racked),
    frame: frame && suits(frame, widths, heights),
  };
}

/** By how much the diagonals of a w × h frame differ when its corners miss a right angle by φ (rad), mm: √(w² + h² + 2wh·sin φ) − √(w² + h² − 2wh·sin φ). */
export function diagonalDifference(width: number, height: number, racked: number): number {
  const skew = 2 * width * height * Math.sin(racked);
  const square = width ** 2 + height ** 2;
  return Math.sqrt(square + skew) - Math.sqrt(square - skew);
}

function spreadOf(values: Float64Array): { mean: number; standardDeviation: number } {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return { mean, standardDeviation: Math.sqrt(squares / (values.length - 1)) };
}

function suits(
  { width, height, play }: PanelFrame,
  widths: Float64Array,
  heights: Float64Array,
): PanelSize["frame"] {
  const panels = widths.length;
  let [large, small] = [0, 0];
  for (let k = 0; k < panels; k++) {
    const [left, above] = [width - widths[k]!, height - heights[k]!];
    if (left < 0 || above < 0) large++;
    else if (left > play || above > play) small++;
  }
  return {
    fits: chanceFrom(panels - large - small, panels),
    large: chanceFrom(large, panels),
    small: chanceFrom(small, panels),
  };
}
