import { UserError } from "../../core/errors.js";
import { type AxisUnit, axisTitle, quantityText, shown } from "../shop-numbers.js";
import { PALETTE, STROKE } from "../style.js";
import { type ChartOptions, type ChartSpec, requireFinite, requireRows } from "./chart-spec.js";
import { plotted, tidy, valueAxis } from "./grammar.js";
import { rowAxis } from "./row-axis.js";

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
  const on = (value: number): number => tidy(unit === "share" ? 100 * value : shown(value, unit));
  const figures = ({ value }: BudgetRow): string =>
    unit === "share" ? `${percent(100 * value)} %` : quantityText(value, unit, { digits: DIGITS[unit] });
  const name = options.axisTitle ?? DEFAULT_BUDGET_AXIS;
  const x = valueAxis("value", unit === "share" ? `${name} (%)` : axisTitle(name, unit), options.width, {
    zero: true,
    nice: true,
  });
  const { y, lines, height, zero, paper } = rowAxis(
    sorted.map((row) => ({ label: row.label, figures: figures(row) })),
    options.width,
    MARKS,
  );
  const title = options.title ?? TITLE;
  return plotted(
    {
      title,
      notes: [],
      description: `${title}, largest first: ${sorted.map((row) => `${row.label} ${figures(row)}`).join("; ")}.`,
      width: options.width,
    },
    {
      height,
      layer: [
        ...paper,
        {
          data: {
            values: sorted.map(({ label, value }, i) => ({ line: lines[i], label, value: on(value) })),
          },
          mark: {
            type: "bar",
            orient: "horizontal",
            size: MARKS,
            strokeWidth: STROKE.fine,
            strokeDash: [3, 2],
          },
          encoding: {
            x,
            y,
            fill: { condition: { test: "datum.value < 0", value: PALETTE.paper }, value: PALETTE.computed },
            stroke: { condition: { test: "datum.value < 0", value: PALETTE.computed }, value: null },
          },
        },
        zero(x),
      ],
    },
  );
}

const DIGITS = { mm: 3, in: 5, thou: 2, deg: 3, arcmin: 2 } as const;

/** Without a sign where it is written as zero. */
function percent(value: number): string {
  const text = value.toFixed(Math.abs(value) < 10 ? 1 : 0);
  return /[1-9]/.test(text) ? text.replace("-", "−") : text.replace("-", "");
}

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
