import { UserError } from "../../core/errors.js";
import { type AxisUnit, axisTitle, quantityText, shown } from "../shop-numbers.js";
import { PALETTE, SIZE, STROKE } from "../style.js";
import { textWidth } from "../text-layout.js";
import { roundTicks, stretchOf, tidy, valueAxis, zeroLine } from "./axes.js";
import { type ChartOptions, type ChartSpec, plotWidth, requireFinite, requireRows } from "./chart-spec.js";
import type { Layer } from "./chart-views.js";
import { framed, headingPanel, type LegendEntry, legendPanel, SWATCH } from "./framed.js";
import { type Across, lines, pixels, px, symbols, texts } from "./marks.js";

/** One quantity as it changes with another. */
export interface Curve {
  readonly name: string;
  /** mm or rad, as the axes have it. */
  readonly points: readonly { readonly x: number; readonly y: number }[];
  /** `line` by default; `dots` for single values. */
  readonly as?: "line" | "dots";
}

/** What an axis of curves shows. */
export interface CurveAxis {
  readonly title: string;
  readonly unit: AxisUnit;
}

/** Axes and size of a chart of curves. */
export interface CurvesChartOptions extends ChartOptions {
  readonly title: string;
  readonly x: CurveAxis;
  readonly y: CurveAxis;
  /** Sentences under the title. */
  readonly notes?: readonly string[];
}

const HEIGHT = 200;
const TICK_GAP = 8;
/** px above and below the plot for half a figure. */
const BELOW = 6;

/** One look a curve: line by dash and colour, dots by shape and colour; none tells by colour alone. */
const LOOKS = [
  { color: PALETTE.computed, dash: [] as number[], shape: "circle" },
  { color: PALETTE.attention, dash: [6, 3], shape: "square" },
  { color: PALETTE.ink, dash: [2, 2], shape: "triangle-up" },
  { color: PALETTE.woodEdge, dash: [9, 3, 2, 3], shape: "diamond" },
  { color: PALETTE.quiet, dash: [1, 3], shape: "cross" },
] as const;

type Look = (typeof LOOKS)[number];

/** Most curves in one chart. */
export const MOST_CURVES = LOOKS.length;

/**
 * Curves over a common axis, zero marked on both.
 *
 * @throws UserError (code "chart") when there are no curves, more than {@link MOST_CURVES}, or a point is not finite.
 * @example
 * const line = { name: "double", points: [{ x: 0, y: 0 }, { x: 1, y: 2 }] };
 * const axis = { title: "length", unit: "mm" };
 * curvesChart([line], { x: axis, y: axis, title: "Twice as long" }).title.text // ["Twice as long"]
 */
export function curvesChart(curves: readonly Curve[], options: CurvesChartOptions): ChartSpec {
  requireCurves(curves);
  const { x, y, title, notes = [] } = options;
  const room = plotWidth(options.width);
  const points = curves.flatMap((curve) => curve.points);
  const high = stretchOf(points.map((point) => shown(point.y, y.unit)));
  const ticks = roundTicks(high.low, high.high);
  const figures = tickTexts(ticks, y.unit);
  const left = Math.max(...figures.map((text) => textWidth(text, SIZE.small))) + TICK_GAP;
  const stretch = stretchOf(points.map((point) => shown(point.x, x.unit)));
  const across = valueAxis({ title: axisTitle(x.title, x.unit), stretch, from: left, to: room });
  const height = HEIGHT + 2 * BELOW;
  const up = (value: number): number => px(BELOW + (HEIGHT * (high.high - value)) / (high.high - high.low));
  const place = (point: Curve["points"][number]) => ({
    x: tidy(shown(point.x, x.unit)),
    y: up(shown(point.y, y.unit)),
  });
  return framed({ title, notes, width: options.width, description: describe(curves, options) }, [
    legendPanel(curves.map(legendEntry), options.width),
    headingPanel(axisTitle(y.title, y.unit), room),
    {
      width: room,
      height,
      layer: [
        ...lines(
          ticks.map((tick) => ({ x: px(left), x2: room, y: up(tick), y2: up(tick) })),
          { color: PALETTE.hairline, width: STROKE.hair },
        ),
        ...(high.low <= 0 && high.high >= 0
          ? lines([{ x: px(left), x2: room, y: up(0), y2: up(0) }], {
              color: PALETTE.quiet,
              width: STROKE.fine,
            })
          : []),
        ...texts(
          ticks.map((tick, i) => ({ x: px(left - TICK_GAP + 2), y: up(tick) + 4, text: figures[i]! })),
          { align: "right", size: SIZE.small },
        ),
        ...zeroLine(stretch, height, across),
        ...curves.flatMap((curve, i) => curveMarks(curve, LOOKS[i]!, across, place)),
      ],
    },
  ]);
}

function requireCurves(curves: readonly Curve[]): void {
  requireRows(curves, "curves");
  if (curves.length > MOST_CURVES)
    throw new UserError(
      "chart",
      `There are too many curves to be told apart: a chart has at most ${MOST_CURVES}; it was given ${curves.length}.`,
    );
  for (const { name, points } of curves) {
    requireRows(points, `points of ${name}`);
    for (const { x, y } of points) {
      requireFinite(x, `place of ${name}`);
      requireFinite(y, `value of ${name}`);
    }
  }
}

function tickTexts(ticks: readonly number[], unit: AxisUnit): string[] {
  const step = ticks.length > 1 ? Math.abs(ticks[1]! - ticks[0]!) : 1;
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  // Ticks are in the unit shown: one of it is 1 / shown(1) of mm or rad.
  return ticks.map((tick) => quantityText(tick / shown(1, unit), unit, { digits, withUnit: false }));
}

function curveMarks(
  { points, as = "line" }: Curve,
  look: Look,
  across: Across,
  place: (point: Curve["points"][number]) => { x: number; y: number },
): Layer[] {
  const placed = points.map(place);
  if (as === "dots") return symbols(placed, { shape: look.shape, size: 38, fill: look.color }, across);
  return [
    {
      data: { values: placed.map((point, i) => ({ ...point, i })) },
      mark: {
        type: "line",
        color: look.color,
        strokeWidth: STROKE.mark,
        strokeDash: [...look.dash],
        clip: true,
      },
      encoding: { ...pixels("y"), x: across, order: { field: "i", type: "quantitative" } },
    },
  ];
}

function legendEntry({ name, as = "line" }: Curve, i: number): LegendEntry {
  const { color, dash, shape } = LOOKS[i]!;
  return {
    text: name,
    swatch: (x, y) =>
      as === "dots"
        ? symbols([{ x: x + SWATCH / 2, y }], { shape, size: 38, fill: color })
        : lines([{ x, x2: x + SWATCH, y, y2: y }], { color, width: STROKE.mark, dash }),
  };
}

/** Where each curve begins, where it ends, and its highest and lowest value. */
function describe(curves: readonly Curve[], { x, y }: CurvesChartOptions): string {
  const value = (of: number): string => quantityText(of, y.unit, y.unit === "mm" ? { digits: 3 } : {});
  const said = curves.map(({ name, points }) => {
    const values = points.map((point) => point.y);
    const at = (point: Curve["points"][number] | undefined): string =>
      point ? `${value(point.y)} at ${quantityText(point.x, x.unit)}` : "";
    const range = `${value(Math.min(...values))} to ${value(Math.max(...values))}`;
    return `${name}: from ${at(points[0])} to ${at(points.at(-1))}, within ${range}`;
  });
  return `${y.title} over ${x.title}. ${said.join("; ")}.`;
}
