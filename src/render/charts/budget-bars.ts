import { UserError } from "../../core/errors.js";
import { type AxisUnit, axisTitle, quantityText, shown } from "../shop-numbers.js";
import { PALETTE } from "../style.js";
import { stretchOf, tidy, valueAxis, zeroLine } from "./axes.js";
import { type ChartOptions, type ChartSpec, plotWidth, requireFinite, requireRows } from "./chart-spec.js";
import { framed } from "./framed.js";
import { boxes, px } from "./marks.js";
import { stackRows } from "./stack-rows.js";

/** One source's part in an uncertainty. */
export interface BudgetRow {
  readonly label: string;
  /** mm or rad as the unit asks, or a share (1 = all of it) where the unit is `share`. Below zero where a correlation takes away. */
  readonly value: number;
}

/** Unit, axis and length of a chart of bars. */
export interface BudgetBarsOptions extends ChartOptions {
  readonly unit: AxisUnit | "share";
  /** Axis title without its unit; default {@link DEFAULT_BUDGET_AXIS}. */
  readonly axisTitle?: string;
  /** Longest list; the rest is added up in a last bar. Only for shares, which add up; default {@link DEFAULT_MOST_BARS}. */
  readonly most?: number;
}

export const DEFAULT_BUDGET_AXIS = "Part in the uncertainty";
export const DEFAULT_MOST_BARS = 12;
const TITLE = "Where the spread comes from";
const MARKS = 9;

/**
 * Contributions as bars, largest first.
 *
 * @throws UserError (code "chart") when there are no rows, a value is not finite, or a shortened list is asked of a unit that does not add up.
 * @example
 * budgetBars([{ label: "ramp", value: 0.8 }], { unit: "share" }).title.text.length > 0 // true
 */
export function budgetBars(rows: readonly BudgetRow[], options: BudgetBarsOptions): ChartSpec {
  requireRows(rows, "contributions");
  for (const { label, value } of rows) requireFinite(value, `contribution of ${label}`);
  const { unit } = options;
  const sorted = shortened(
    [...rows].sort((a, b) => Math.abs(b.value) - Math.abs(a.value)),
    options,
  );
  const room = plotWidth(options.width);
  const on = (value: number): number => (unit === "share" ? 100 * value : shown(value, unit));
  const figures = ({ value }: BudgetRow): string =>
    unit === "share" ? `${percent(100 * value)} %` : quantityText(value, unit, { digits: DIGITS[unit] });
  const stack = stackRows(sorted, { room, marks: MARKS, figures });
  const values = sorted.map(({ value }) => on(value));
  const stretch = stretchOf([0, ...values]);
  const axis = { low: Math.min(0, ...values) < 0 ? stretch.low : 0, high: stretch.high };
  const name = options.axisTitle ?? DEFAULT_BUDGET_AXIS;
  const across = valueAxis({
    title: unit === "share" ? `${name} (%)` : axisTitle(name, unit),
    stretch: axis,
    from: stack.from,
    to: stack.to,
  });
  const bars = stack.rows.map(({ row, y }) => ({
    x: 0,
    x2: tidy(on(row.value)),
    y: px(y - MARKS / 2),
    y2: px(y + MARKS / 2),
  }));
  const title = options.title ?? TITLE;
  return framed(
    {
      title,
      notes: [],
      description: `${title}, largest first: ${sorted.map((row) => `${row.label} ${figures(row)}`).join("; ")}.`,
      width: options.width,
    },
    [
      {
        width: room,
        height: stack.height,
        layer: [
          ...(axis.low < 0 ? zeroLine(axis, stack.height, across) : []),
          ...stack.labels,
          ...boxes(
            bars.filter(({ x2 }) => x2 >= 0),
            { fill: PALETTE.computed },
            across,
          ),
          ...boxes(
            bars.filter(({ x2 }) => x2 < 0),
            { fill: PALETTE.paper, stroke: PALETTE.computed, strokeWidth: 1.5, dash: [3, 2] },
            across,
          ),
        ],
      },
    ],
  );
}

const DIGITS = { mm: 3, in: 5, thou: 2, deg: 3, arcmin: 2 } as const;

const percent = (value: number): string => value.toFixed(Math.abs(value) < 10 ? 1 : 0).replace("-", "−");

function shortened(sorted: readonly BudgetRow[], { unit, most }: BudgetBarsOptions): readonly BudgetRow[] {
  if (unit !== "share") {
    if (most === undefined || sorted.length <= most) return sorted;
    throw new UserError(
      "chart",
      `The list of contributions cannot be cut short: only shares add up; the unit is ${unit} and the longest list ${most}.`,
    );
  }
  const kept = most ?? DEFAULT_MOST_BARS;
  if (sorted.length <= kept) return sorted;
  const rest = sorted.slice(kept - 1);
  return [
    ...sorted.slice(0, kept - 1),
    { label: `${rest.length} others together`, value: rest.reduce((sum, { value }) => sum + value, 0) },
  ];
}
