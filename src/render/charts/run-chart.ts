import { UserError } from "../../core/errors.js";
import { type AxisUnit, axisTitle, isAngle, quantityText, shown } from "../shop-numbers.js";
import { PALETTE, SIZE, STROKE } from "../style.js";
import { type ChartOptions, type ChartSpec, plotWidth, requireFinite, requireRows } from "./chart-spec.js";
import { type Encoding, plotted, SIGN, SIGN_SIZE, signs, tidy, valueAxis } from "./grammar.js";

/** One piece of a batch; mm. */
export interface RunRow {
  readonly id: string;
  readonly value: number;
  /** The moving average after it. */
  readonly average: number;
}

/** A pair of limits, mm. */
export interface RunLimits {
  readonly lower: number;
  readonly upper: number;
}

export interface RunChartInput {
  readonly rows: readonly RunRow[];
  readonly target: number;
  /** Of single pieces, and of the moving average. */
  readonly single: RunLimits;
  readonly moving: RunLimits;
}

export interface RunChartOptions extends ChartOptions {
  /** mm, in or thou. */
  readonly unit: AxisUnit;
  /** Axis title without its unit; default {@link DEFAULT_RUN_AXIS}. */
  readonly axisTitle?: string;
}

export const DEFAULT_RUN_AXIS = "Length of the piece";
const TITLE = "The batch, piece by piece";
/** Height of a piece's line, px. */
const LINE = 14;

const PIECE = { text: "piece", shape: SIGN.dot, color: PALETTE.measured };
const ODD = { text: "piece beyond", shape: SIGN.cross, color: PALETTE.attention };
const SINGLE = { text: "limits of pieces", shape: SIGN.line, color: PALETTE.attention, dash: [7, 3] };
const AVERAGE = { text: "moving average", shape: SIGN.line, color: PALETTE.computed };
const MOVING = { text: "its limits", shape: SIGN.line, color: PALETTE.computed, dash: [2, 3] };
const MEANINGS = [PIECE, ODD, SINGLE, AVERAGE, MOVING];

/**
 * Pieces of a batch from the first (above) to the last, their moving average, and the limits of both.
 *
 * @throws UserError (code "chart") when there are no pieces, a number is not finite, or the unit is of angles.
 */
export function runChart(input: RunChartInput, options: RunChartOptions): ChartSpec {
  const { rows, target, single, moving } = input;
  const { unit, width } = options;
  requireRows(rows, "pieces");
  if (isAngle(unit))
    throw new UserError("chart", `A batch has no such unit: it must be mm, in or thou; it is ${unit}.`);
  for (const { id, value, average } of rows) {
    requireFinite(value, `value of piece ${id}`);
    requireFinite(average, `moving average at piece ${id}`);
  }
  for (const end of [single.lower, single.upper, moving.lower, moving.upper, target])
    requireFinite(end, "limit of the chart");
  const on = (mm: number): number => tidy(shown(mm, unit));
  const isOdd = ({ value }: RunRow): boolean => value < single.lower || value > single.upper;
  const title = options.title ?? TITLE;
  const note = noteOf(input, unit, isOdd);
  const description = `${title}: ${rows.length} pieces about ${quantityText(target, unit, DIGITS)}. ${note}`;
  const x = valueAxis("value", axisTitle(options.axisTitle ?? DEFAULT_RUN_AXIS, unit), width);
  const ids = JSON.stringify(rows.map(({ id }) => id));
  const y: Encoding["y"] = {
    field: "order",
    type: "ordinal",
    title: null,
    axis: {
      labelExpr: `${ids}[datum.value]`,
      labelFontSize: SIZE.tiny,
      labelColor: PALETTE.quiet,
      labelLimit: 0.3 * plotWidth(width),
      domain: false,
      ticks: false,
    },
  };
  const limits = (meaning: string, { lower, upper }: RunLimits) =>
    [lower, upper].map((end) => ({ value: on(end), meaning }));
  return plotted(
    { title, notes: [note], description, width },
    {
      height: LINE * rows.length,
      layer: [
        {
          data: { values: [{ value: on(target) }] },
          mark: { type: "rule", color: PALETTE.quiet, strokeWidth: STROKE.fine },
          encoding: { x },
        },
        {
          data: { values: [...limits(SINGLE.text, single), ...limits(MOVING.text, moving)] },
          mark: { type: "rule", strokeWidth: STROKE.fine },
          encoding: { x, ...signs(MEANINGS, width, "stroke", "strokeDash") },
        },
        {
          data: {
            values: rows.map(({ average }, order) => ({ order, value: on(average), meaning: AVERAGE.text })),
          },
          mark: { type: "line", strokeWidth: STROKE.mark },
          encoding: {
            x,
            y,
            order: { field: "order" },
            ...signs(MEANINGS, width, "stroke", "strokeDash"),
          },
        },
        {
          data: {
            values: rows.map((row, order) => ({
              order,
              id: row.id,
              value: on(row.value),
              meaning: (isOdd(row) ? ODD : PIECE).text,
            })),
          },
          mark: { type: "point", size: SIGN_SIZE, strokeWidth: STROKE.fine, opacity: 1 },
          encoding: { x, y, ...signs(MEANINGS, width, "stroke", "fill", "shape", "strokeDash") },
        },
      ],
    },
  );
}

const DIGITS = { digits: 3 } as const;
/** Pieces named in a note before the rest is counted. */
const NAMED = 6;

function noteOf({ rows, moving }: RunChartInput, unit: AxisUnit, isOdd: (row: RunRow) => boolean): string {
  const named = (list: readonly RunRow[]): string => {
    const ids = list.slice(0, NAMED).map(({ id }) => id);
    const left = list.length - ids.length;
    return ids.join(", ") + (left > 0 ? ` and ${left} more` : "");
  };
  const odd = rows.filter(isOdd);
  const drifted = rows.filter(({ average }) => average < moving.lower || average > moving.upper);
  const width = quantityText((moving.upper - moving.lower) / 2, unit, DIGITS);
  return [
    odd.length === 0 ? "No piece lies beyond its limits." : `Beyond their limits: ${named(odd)}.`,
    drifted.length === 0
      ? `The moving average stays within ±${width}.`
      : `The moving average leaves its ±${width} at ${named(drifted)}.`,
  ].join(" ");
}
