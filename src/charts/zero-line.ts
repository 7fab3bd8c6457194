import type { Layer } from "./chart-spec.js";
import { type Across, lines } from "./marks.js";
import { PALETTE, STROKE } from "./style.js";
import type { Stretch } from "./value-axis.js";

/** A line at zero, where zero is on the axis. */
export function zeroLine({ low, high }: Stretch, height: number, across: Across): Layer[] {
  return low <= 0 && high >= 0
    ? lines([{ x: 0, x2: 0, y: 0, y2: height }], { color: PALETTE.quiet, width: STROKE.fine }, across)
    : [];
}
