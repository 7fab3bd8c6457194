import { type AxisUnit, quantityText } from "../axis-unit.js";
import type { Layer } from "../chart-spec.js";
import type { Panel } from "../chart-spec.js";
import { type LegendEntry, legendPanel, SWATCH } from "../legend-panel.js";
import { boxes, lines, symbols } from "../marks.js";
import { JOINT_STYLE, type JointState, PALETTE, STROKE } from "../style.js";
import type { JointLimits } from "./joint-bands.js";

/** A cross over what is pressed: an SVG path within ±1. */
export const PRESS_CROSS = {
  shape: "M-1,-1L1,1M-1,1L1,-1",
  size: 26,
  stroke: JOINT_STYLE.pressed.stroke,
  strokeWidth: STROKE.mark,
};

/** Width of the band in a swatch, px. */
const BAND: Record<JointState, number> = { wide: 9, open: 5, closed: 3, pressed: 6 };
const HALF_HEIGHT = 6;

/** The states of a joint as they are drawn: two pieces of wood and what lies between them. */
export function cellLegend(options: JointLimits & { unit: AxisUnit; width?: number }): Panel {
  const limit = (value: number): string => quantityText(value, options.unit);
  const entry = (state: JointState, text: string): LegendEntry => ({
    text,
    swatch: (x, y) => swatch(state, x, y),
  });
  return legendPanel(
    [
      entry("wide", `gap over ${limit(options.gapLimit)}`),
      entry("open", `gap up to ${limit(options.gapLimit)}`),
      entry("closed", `closed to ${limit(options.snugLimit)}`),
      entry("pressed", `press over ${limit(options.snugLimit)}`),
    ],
    options.width,
  );
}

function swatch(state: JointState, x: number, y: number): Layer[] {
  const middle = x + SWATCH / 2;
  const half = BAND[state] / 2;
  const box = (left: number, right: number) => ({
    x: left,
    x2: right,
    y: y - HALF_HEIGHT,
    y2: y + HALF_HEIGHT,
  });
  const wood = boxes([box(x, middle - half), box(middle + half, x + SWATCH)], {
    fill: PALETTE.wood,
    stroke: PALETTE.woodEdge,
    strokeWidth: STROKE.hair,
  });
  const { fill, stroke, dash } = JOINT_STYLE[state];
  const band = boxes([box(middle - half, middle + half)], {
    fill,
    stroke: state === "closed" ? fill : stroke,
    strokeWidth: STROKE.hair,
    dash,
  });
  const line = { x: middle, x2: middle, y: y - HALF_HEIGHT, y2: y + HALF_HEIGHT };
  const touching = state === "closed" ? lines([line], { color: stroke, width: STROKE.mark }) : [];
  return [
    ...wood,
    ...band,
    ...touching,
    ...(state === "pressed" ? symbols([{ x: middle, y }], PRESS_CROSS) : []),
  ];
}
