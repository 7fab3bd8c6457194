import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import { type AxisUnit, axisTitle, quantityText, shown } from "../shop-numbers.js";
import { PALETTE, STROKE } from "../style.js";
import { type ChartOptions, type ChartSpec, requireFinite, requireRows } from "./chart-spec.js";
import {
  domainOf,
  type Meaning,
  plotted,
  rulesAt,
  SIGN,
  SIGN_SIZE,
  signs,
  tidy,
  upAxis,
  valueAxis,
} from "./grammar.js";

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

/** Height of the plot, px. */
const HEIGHT = 200;

/** One look a curve: a line by dash and colour, dots by shape and colour. */
const LOOKS = [
  { color: PALETTE.computed, dash: [1, 0], dot: SIGN.dot },
  { color: PALETTE.attention, dash: [6, 3], dot: SIGN.square },
  { color: PALETTE.ink, dash: [2, 2], dot: SIGN.triangle },
  { color: PALETTE.woodEdge, dash: [9, 3, 2, 3], dot: SIGN.diamond },
  { color: PALETTE.quiet, dash: [1, 3], dot: SIGN.plus },
] as const;

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
  const { width } = options;
  const points = curves.flatMap((curve) => curve.points);
  const domains = {
    x: domainOf(points.map((point) => shown(point.x, x.unit))),
    y: domainOf(points.map((point) => shown(point.y, y.unit))),
  };
  const across = valueAxis("x", axisTitle(x.title, x.unit), width, {
    domain: domains.x,
    nice: false,
    zero: false,
  });
  const up = upAxis("y", axisTitle(y.title, y.unit), width, domains.y);
  const meanings = curves.map(({ name, as }, i): Meaning => {
    const { color, dash, dot } = at(LOOKS, i);
    return { text: name, color, ...(as === "dots" ? { shape: dot } : { shape: SIGN.line, dash }) };
  });
  const rowsOf = (wanted: "line" | "dots") => ({
    values: curves.flatMap(({ name, points, as = "line" }) =>
      as !== wanted
        ? []
        : points.map((point, order) => ({
            meaning: name,
            order,
            x: tidy(shown(point.x, x.unit)),
            y: tidy(shown(point.y, y.unit)),
          })),
    ),
  });
  const holdsZero = ([low, high]: [number, number]): boolean => low <= 0 && high >= 0;
  const zero = { color: PALETTE.quiet };
  return plotted(
    { title, notes, width, description: describe(curves, options) },
    {
      height: HEIGHT,
      layer: [
        ...(holdsZero(domains.x) ? [rulesAt([0], { x: { ...across, field: "value" } }, zero)] : []),
        ...(holdsZero(domains.y) ? [rulesAt([0], { y: { ...up, field: "value" } }, zero)] : []),
        {
          data: rowsOf("line"),
          mark: { type: "line", strokeWidth: STROKE.mark, clip: true },
          encoding: {
            x: across,
            y: up,
            order: { field: "order" },
            ...signs(meanings, width, "stroke", "strokeDash"),
          },
        },
        {
          data: rowsOf("dots"),
          mark: { type: "point", size: SIGN_SIZE, strokeWidth: STROKE.fine, opacity: 1 },
          encoding: { x: across, y: up, ...signs(meanings, width, "stroke", "fill", "shape", "strokeDash") },
        },
      ],
    },
  );
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
