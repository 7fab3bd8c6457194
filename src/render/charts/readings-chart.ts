import { UserError } from "../../core/errors.js";
import { type AxisUnit, axisTitle, isAngle, shown } from "../shop-numbers.js";
import { PALETTE, STROKE } from "../style.js";
import {
  type ChartOptions,
  type ChartSpec,
  requireFinite,
  requireInterval,
  requireRows,
} from "./chart-spec.js";
import type { ChartPanel } from "./chart-views.js";
import { domainOf, type Meaning, SIGN, SIGN_SIZE, signs, stackedPlots, tidy, valueAxis } from "./grammar.js";
import { byAxis, intervals, rowAxis } from "./row-axis.js";

/** A reading beside what the model predicts for it; gaps, and angles and lengths as differences from nominal, in rad or mm. */
export interface ReadingRow {
  readonly id: string;
  /** In the joiner's words, for example what was read and where. */
  readonly label: string;
  /** The instrument, or what was read. */
  readonly group: string;
  /** The unit it is shown in. */
  readonly unit: AxisUnit;
  /** What the reading says the quantity lies between: value ± U, or two leaves; ±Infinity for an open end. */
  readonly low: number;
  readonly high: number;
  /** `null` for a reading that only tells an interval. */
  readonly value: number | null;
  readonly predicted: number;
  /** `null` where the prediction's interval is not known. */
  readonly predictedLow: number | null;
  readonly predictedHigh: number | null;
  readonly outlier: boolean;
}

export interface ReadingsChartOptions extends ChartOptions {
  /** Axis titles without their unit. */
  readonly axisTitles?: { readonly angle?: string; readonly length?: string };
}

const TITLE = "Readings and the model";
const AXIS_TITLES = { angle: "Angle, from nominal", length: "Gap, or length from nominal" };

/** Height of a row's marks, px. */
const MARKS = 22;
/** The reading above the middle of its row, the prediction under it, in lines. */
const READING = -0.34;
const PREDICTION = 0.4;

/**
 * Each reading with its interval, and under it the model's prediction with its own; one panel for each unit.
 *
 * @throws UserError (code "chart") when there are no rows, or a number or an interval cannot be drawn.
 */
export function readingsChart(rows: readonly ReadingRow[], options: ReadingsChartOptions = {}): ChartSpec {
  requireRows(rows, "readings");
  rows.forEach(requireRow);
  const outliers = rows.filter((row) => row.outlier);
  const title = options.title ?? TITLE;
  const titleOf = ({ unit }: ReadingRow): string => {
    const kind = isAngle(unit) ? "angle" : "length";
    return axisTitle(options.axisTitles?.[kind] ?? AXIS_TITLES[kind], unit);
  };
  return stackedPlots(
    {
      title,
      notes: [],
      description: `${title}. ${countText(rows.length)}, each beside the model's prediction. ${outlierText(outliers)}`,
      width: options.width,
    },
    byAxis(rows, titleOf).map(([axis, own]) => panel(own, rows, axis, options)),
  );
}

const countText = (count: number): string =>
  count === 1 ? "One reading with its interval" : `${count} readings with their intervals`;

const outlierText = (outliers: readonly ReadingRow[]): string =>
  outliers.length === 0 ? "None stands out." : `Standing out: ${outliers.map(({ id }) => id).join(", ")}.`;

function requireRow(row: ReadingRow): void {
  requireInterval(row.low, row.high, `interval of reading ${row.id}`);
  if (row.value !== null) requireFinite(row.value, `value of reading ${row.id}`);
  else if (row.low === Number.NEGATIVE_INFINITY && row.high === Number.POSITIVE_INFINITY)
    throw new UserError(
      "chart",
      `Reading ${row.id} says nothing: a reading has a value or at least one end of its interval; both ends are open.`,
    );
  requireFinite(row.predicted, `prediction of reading ${row.id}`);
  if (row.predictedLow !== null && row.predictedHigh !== null)
    requireInterval(row.predictedLow, row.predictedHigh, `predicted interval of reading ${row.id}`);
}

function panel(
  rows: readonly ReadingRow[],
  all: readonly ReadingRow[],
  title: string,
  { width }: ReadingsChartOptions,
): ChartPanel {
  const groups = byAxis(rows, ({ group }) => group);
  const { lines, plot, height, ...axis } = rowAxis(
    groups.flatMap(([label, own]) => [{ label, heading: true }, ...own.map(labelled)]),
    width,
    MARKS,
    { alignedWith: all.flatMap((row) => [{ label: row.group, heading: true }, labelled(row)]) },
  );
  const places = groups.flatMap(([, own]) => [null, ...own]);
  const placed = places.flatMap((row, i) => (row === null ? [] : [{ row, line: lines[i] ?? 0 }]));
  const domain = domainOf(
    rows.flatMap((row) =>
      [row.low, row.high, row.value, row.predicted, row.predictedLow, row.predictedHigh].flatMap((value) =>
        value === null ? [] : [shown(value, row.unit)],
      ),
    ),
  );
  const [low, high] = domain;
  const x = valueAxis("value", title, width, { domain, nice: false, zero: false }, { plot });
  const at = { x, y: axis.y };
  const reading = (line: number): number => tidy(line + READING);
  const prediction = (line: number): number => tidy(line + PREDICTION);
  const readings = (outlier: boolean) =>
    placed.flatMap(({ row, line }) =>
      row.outlier === outlier
        ? [{ line: reading(line), low: shown(row.low, row.unit), high: shown(row.high, row.unit) }]
        : [],
    );
  const bar = { color: PALETTE.measuredPale, bar: 7, caps: 11 };
  return {
    width: plot,
    height,
    layer: [
      ...axis.paper,
      ...(low <= 0 && high >= 0 ? [axis.zero(x)] : []),
      ...intervals(readings(false), domain, at, { ...bar, capColor: PALETTE.measured }),
      ...intervals(readings(true), domain, at, { ...bar, capColor: PALETTE.attention }),
      ...intervals(
        placed.map(({ row, line }) => ({
          line: prediction(line),
          low: shown(row.predictedLow ?? row.predicted, row.unit),
          high: shown(row.predictedHigh ?? row.predicted, row.unit),
        })),
        domain,
        at,
        { color: PALETTE.computed, bar: 2, caps: 7 },
      ),
      {
        data: {
          values: placed.flatMap(({ row, line }) => [
            ...(row.value === null
              ? []
              : [
                  {
                    id: row.id,
                    line: reading(line),
                    value: tidy(shown(row.value, row.unit)),
                    meaning: (row.outlier ? OUTLIER : VALUE).text,
                  },
                ]),
            {
              id: row.id,
              line: prediction(line),
              value: tidy(shown(row.predicted, row.unit)),
              meaning: PREDICTED.text,
            },
          ]),
        },
        mark: { type: "point", size: SIGN_SIZE, strokeWidth: STROKE.mark, opacity: 1 },
        encoding: { ...at, ...signs(meaningsOf(all), width, "stroke", "fill", "shape") },
      },
    ],
  };
}

const labelled = ({ label, outlier }: ReadingRow) => ({
  label,
  ...(outlier ? { figures: OUTLIER.text } : {}),
});

const VALUE = { text: "reading", shape: SIGN.dot, color: PALETTE.measured };
const PREDICTED = {
  text: "prediction",
  shape: SIGN.diamond,
  color: PALETTE.computed,
  fill: PALETTE.paper,
};
const OPEN = { text: "no limit this way", shape: SIGN.openHigh, color: PALETTE.measured };
const OUTLIER = { text: "stands out", shape: SIGN.cross, color: PALETTE.attention };

const meaningsOf = (rows: readonly ReadingRow[]): Meaning[] => [
  VALUE,
  PREDICTED,
  ...(rows.some(({ low, high }) => !Number.isFinite(low) || !Number.isFinite(high)) ? [OPEN] : []),
  ...(rows.some(({ outlier }) => outlier) ? [OUTLIER] : []),
];
