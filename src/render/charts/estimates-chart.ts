import { roundToUncertainty } from "../../core/quantity/index.js";
import { type AxisUnit, axisTitle, quantityText, shown } from "../shop-numbers.js";
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

/** What the readings say about one error source, with 95 % intervals before and after; rad or mm. */
export interface EstimateRow {
  readonly name: string;
  /** The unit it is shown in. */
  readonly unit: AxisUnit;
  /** What its signs mean: the axis title without its unit. */
  readonly axis: string;
  readonly estimate: number;
  readonly low: number;
  readonly high: number;
  /** What was believed before anything was read; `null` when nothing was. */
  readonly priorLow: number | null;
  readonly priorHigh: number | null;
}

const TITLE = "What the readings say";
const MARKS = 16;
/** A prior is drawn no further out than this many times the stretch of the estimates; beyond, an arrow says that it goes on. */
const MOST_PRIOR = 5;

/**
 * Estimates with their 95 % intervals over what was believed before; one panel for each axis, zero marked.
 *
 * @throws UserError (code "chart") when there are no rows, or a number or an interval cannot be drawn.
 */
export function estimatesChart(rows: readonly EstimateRow[], options: ChartOptions = {}): ChartSpec {
  requireRows(rows, "estimates");
  rows.forEach(requireRow);
  const title = options.title ?? TITLE;
  return stackedPlots(
    {
      title,
      notes: [],
      description: `${title}. ${rows.map((row) => `${row.name}: ${figures(row)}`).join("; ")} (95 % intervals).`,
      width: options.width,
    },
    byAxis(rows, ({ unit, axis }) => axisTitle(axis, unit)).map(([axis, own]) =>
      panel(
        own,
        rows,
        axis,
        rows.some(({ priorLow }) => priorLow !== null) ? [ESTIMATE, PRIOR] : [ESTIMATE],
        options,
      ),
    ),
  );
}

function requireRow(row: EstimateRow): void {
  requireFinite(row.estimate, `estimate of ${row.name}`);
  requireInterval(row.low, row.high, `interval of ${row.name}`);
  if (row.priorLow !== null && row.priorHigh !== null)
    requireInterval(row.priorLow, row.priorHigh, `earlier interval of ${row.name}`);
}

/** `+0.21° (+0.12 to +0.30)`, as many decimals as two figures of half the interval ask for. */
function figures({ estimate, low, high, unit }: EstimateRow): string {
  const half = shown(high - low, unit) / 2;
  const digits = Number.isFinite(half) && half > 0 ? roundToUncertainty(0, half).places : undefined;
  const options = { signed: true, ...(digits === undefined ? {} : { digits: Math.max(0, digits) }) };
  const end = (value: number): string =>
    Number.isFinite(value) ? quantityText(value, unit, { ...options, withUnit: false }) : "open";
  return `${quantityText(estimate, unit, options)} (${end(low)} to ${end(high)})`;
}

function panel(
  rows: readonly EstimateRow[],
  all: readonly EstimateRow[],
  title: string,
  meanings: readonly Meaning[],
  { width }: ChartOptions,
): ChartPanel {
  const { lines, plot, height, ...axis } = rowAxis(rows.map(labelled), width, MARKS, {
    alignedWith: all.map(labelled),
  });
  const placed = rows.map((row, i) => {
    const on = (value: number): number => shown(value, row.unit);
    const { priorLow, priorHigh } = row;
    return {
      line: lines[i],
      own: { line: lines[i], low: on(row.low), high: on(row.high) },
      reach: reach(rows).map(on),
      priors:
        priorLow === null || priorHigh === null
          ? []
          : [{ line: lines[i], low: on(priorLow), high: on(priorHigh) }],
      estimate: { line: lines[i], value: tidy(on(row.estimate)), meaning: ESTIMATE.text },
    };
  });
  const priors = placed.flatMap((row) => row.priors);
  const domain = domainOf([0, ...placed.flatMap((row) => row.reach)]);
  const x = valueAxis("value", title, width, { domain, nice: false, zero: false }, { plot });
  const at = { x, y: axis.y };
  return {
    width: plot,
    height,
    layer: [
      ...axis.paper,
      ...intervals(priors, domain, at, PRIOR_BAR),
      axis.zero(x),
      ...intervals(
        placed.map(({ own }) => own),
        domain,
        at,
        { color: PALETTE.computed, bar: 3, caps: 10 },
      ),
      {
        data: { values: placed.map(({ estimate }) => estimate) },
        mark: { type: "point", size: SIGN_SIZE, strokeWidth: STROKE.mark, opacity: 1 },
        encoding: { ...at, ...signs(meanings, width, "stroke", "fill", "shape") },
      },
    ],
  };
}

const labelled = (row: EstimateRow) => ({ label: row.name, figures: figures(row) });

const ESTIMATE = {
  text: "estimate, 95 % interval",
  shape: SIGN.diamond,
  color: PALETTE.computed,
  fill: PALETTE.paper,
};
const PRIOR = { text: "believed before, 95 %", shape: SIGN.box, color: PALETTE.earlierPale };
const PRIOR_BAR = { color: PALETTE.earlierPale, bar: 14, caps: 0, capColor: PALETTE.earlier };

/** Everything that sets the axis: the estimates with their intervals, and of the priors as much as leaves those readable. */
function reach(rows: readonly EstimateRow[]): number[] {
  const own = [0, ...rows.flatMap(({ estimate, low, high }) => [estimate, low, high])].filter(
    Number.isFinite,
  );
  const [low, high] = [Math.min(...own), Math.max(...own)];
  const most = ((MOST_PRIOR - 1) / 2) * (high - low);
  const priors = rows.flatMap(({ priorLow, priorHigh }) =>
    priorLow === null || priorHigh === null
      ? []
      : [Math.max(priorLow, low - most), Math.min(priorHigh, high + most)],
  );
  return [...own, ...(most > 0 ? priors : rows.flatMap((row) => [row.priorLow ?? 0, row.priorHigh ?? 0]))];
}
