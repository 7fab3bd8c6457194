import { given } from "../../cli/arguments.js";
import { withProgress } from "../../cli/progress.js";
import { UserError } from "../../core/errors.js";
import { requireWritable } from "../../core/files.js";
import { DEGREE } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import {
  type Forecast,
  forecastCells,
  type OpeningForecast,
} from "../../inference/forecast/forecast-cells.js";
import type { SourceGroup } from "../../inference/forecast/forecast-sources.js";
import { loadJob } from "../../io/job/load-job.js";
import type { Order } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import { budgetBars } from "../../render/charts/budget-bars.js";
import type { ChartSpec } from "../../render/charts/chart-spec.js";
import { drawChart } from "../../render/charts/draw-chart.js";
import { gapDistribution } from "../../render/charts/gap-distribution.js";
import { type JobPicture, writeCharts } from "../../render/pictures.js";
import { chanceText, smallUnit } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import { forecastText } from "./forecast-text.js";
import { withLengths } from "./prediction-report.js";

export interface ForecastFlags {
  readonly json?: boolean;
  /** Simulated cells; `trials` is its former name. */
  readonly cells?: number;
  readonly trials?: number;
  readonly adaptive?: boolean;
  readonly order?: Order;
  readonly seed?: number;
  readonly threads?: number;
  readonly out?: string;
  readonly lengths?: Job["lengths"];
}

/** `sukima predict JOBFOLDER --uncertain`: how often the cells to come will close. */
export async function predictUncertainCommand(folder: string, flags: ForecastFlags): Promise<string> {
  const { json, adaptive, order, seed, threads, out, lengths, cells = flags.trials } = flags;
  if (adaptive && cells !== undefined)
    throw new UserError(
      "usage",
      "--cells and --adaptive exclude each other: an adaptive run finds its own number.",
    );
  if (out !== undefined) requireWritable(out);
  const job = withLengths(loadJob(folder), lengths);
  const options = given({ trials: adaptive ? ("adaptive" as const) : cells, order, seed, threads });
  const forecast = await withProgress((tell) => forecastCells(job, { ...options, ...tell }));
  const written = await writeCharts(out, () => forecastCharts(forecast));
  if (json) return JSON.stringify(forecastJson(forecast), null, 1);
  return [forecastText(forecast), ...written].join("\n");
}

/** A forecast for other programs: mm, degrees, chances and shares as numbers from 0 to 1. */
export function forecastJson(forecast: Forecast): unknown {
  const { job, sources, trials, status, order, seed, tolerance, cell, joints, orders, budget } = forecast;
  return {
    job: job.title,
    ...{ trials, status, order, seed, tolerance },
    limits: job.limits,
    sources: sources.groups.map(sourceJson),
    cell: {
      ...openingJson(cell),
      shortest: cell.shortest,
      shortestErrors: cell.shortestErrors,
      pressQuantiles: cell.pressQuantiles,
    },
    joints: joints.map((joint) => ({ joint: joint.joint, ...openingJson(joint) })),
    lengths: job.lengths,
    trims: forecast.trims,
    unfitted: forecast.unfitted,
    orders,
    atOnce: forecast.atOnce,
    budget: budget && {
      ...budget,
      lines: budget.lines.map(({ group, first, total, drop }) => ({
        ...{ source: sourceText(group.id), id: group.id, first, total, drop },
      })),
    },
  };
}

function openingJson(opening: OpeningForecast): Record<string, unknown> {
  const { beyondGap, beyondPress, closes, mean, standardDeviation, quantiles, linear, linearVerdict } =
    opening;
  return {
    ...{ beyondGap, beyondPress, closes, mean, standardDeviation, quantiles },
    linear: { ...linear, ...linearVerdict },
  };
}

/** Each source with its normal distributions; those of a group that are alike are told once, with their number. */
function sourceJson({ id, shared, spread }: SourceGroup): unknown {
  const alike = new Map<string, { mean: number; deviation: number; unit: string; draws: number }>();
  for (const { mean, deviation, angular } of spread) {
    const size = angular ? DEGREE : 1;
    const key = `${mean} ${deviation} ${angular}`;
    const known = alike.get(key);
    if (known) known.draws++;
    else
      alike.set(key, {
        ...{ mean: mean / size, deviation: deviation / size, unit: angular ? "degrees" : "mm", draws: 1 },
      });
  }
  return { name: sourceText(id), id, shared, distribution: "normal", of: [...alike.values()] };
}

const STEPS = 40;
/** Share of the cells that the axis takes in. */
const TAKEN_IN = 0.995;

/** The spread of the widest gap and, where it was worked out, its budget: named drawings. */
export function forecastCharts(
  forecast: Forecast,
  options: { readonly width?: number } = {},
): [name: string, spec: ChartSpec][] {
  const { budget } = forecast;
  const bars = budget?.lines.map(({ group, total }) => ({
    label: sourceText(group.id),
    value: Math.max(0, total.value),
  }));
  return [
    ["spread", spreadChart(forecast, options)],
    ...(bars === undefined || budget?.status === "constant"
      ? []
      : [
          [
            "budget",
            budgetBars(bars, {
              ...options,
              unit: "share",
              most: bars.length,
              title: "What the widest gap's spread comes from",
              axisTitle: "Spread left if all else were known",
            }),
          ] as [string, ChartSpec],
        ]),
  ];
}

function spreadChart({ job, gapCounts, cell }: Forecast, options: { readonly width?: number }): ChartSpec {
  const { gap } = job.limits;
  const reach = Math.max(1.1 * gap, gapCounts.quantile(TAKEN_IN));
  // An edge falls on the limit, so that a step is wholly within or wholly beyond it.
  const within = Math.max(1, Math.floor((STEPS * gap) / reach));
  const step = gap / within;
  const edges = Array.from({ length: Math.ceil(reach / step - 1e-9) + 1 }, (_, i) =>
    Number((i * step).toPrecision(12)),
  );
  const upTo = edges.map((edge, i) => (i === 0 ? 0 : gapCounts.shareUpTo(edge)));
  const shares = upTo.slice(1).map((share, i) => share - at(upTo, i));
  return gapDistribution(
    {
      before: {
        edges,
        shares,
        beyond: 1 - at(upTo, upTo.length - 1),
        says: `${chanceText(cell.closes.value)} close`,
      },
      after: null,
      gapLimit: gap,
    },
    {
      ...{ ...options, unit: smallUnit(job.units), names: { before: "cells to come", after: "" } },
      title: "The widest gap of the cells to come",
    },
  );
}

const offered = (name: string, shows: string): JobPicture => ({
  ...{ name, shows, needs: "job" },
  async draw({ job, seed, onProgress }) {
    onProgress("simulating the cells to come");
    const spec = new Map(forecastCharts(await forecastCells(job, { seed }))).get(name);
    if (spec) return drawChart(spec);
    throw new UserError("picture", `There is no “${name}”: nothing that this job allows for matters here.`);
  },
});

/** Pictures of the cells to come. */
export const FORECAST_PICTURES: readonly JobPicture[] = [
  offered("spread", "widest gaps of the cells to come, from what the job trusts"),
  offered("budget", "which error source that spread comes from"),
];
