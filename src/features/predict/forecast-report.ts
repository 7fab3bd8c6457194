import { given } from "../../cli/arguments.js";
import { withProgress } from "../../cli/progress.js";
import { UserError } from "../../core/errors.js";
import { requireWritable } from "../../core/files.js";
import { DEGREE } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import {
  type Forecast,
  type ForecastOptions,
  forecastCells,
  type OpeningForecast,
} from "../../inference/forecast/forecast-cells.js";
import type { SourceGroup } from "../../inference/forecast/forecast-sources.js";
import type { GapCounts } from "../../inference/forecast/tally-blocks.js";
import { jobPosterior } from "../../inference/job-posterior.js";
import { loadJob } from "../../io/job/load-job.js";
import type { Order } from "../../model/cell/cell.js";
import { closingLimits, type Job } from "../../model/job/job.js";
import { budgetBars } from "../../render/charts/budget-bars.js";
import type { ChartSpec } from "../../render/charts/chart-spec.js";
import { drawChart } from "../../render/charts/draw-chart.js";
import { type BinnedGaps, edgesUpTo, gapDistribution } from "../../render/charts/gap-distribution.js";
import { evidenceJson } from "../../render/evidence-text.js";
import { type JobPicture, writeCharts } from "../../render/pictures.js";
import { chanceText, shareText, smallLength, smallUnit } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import { type EvidenceFlags, folderPosterior } from "../evidence/index.js";
import { forecastText } from "./forecast-text.js";
import { withLengths } from "./prediction-report.js";

export interface ForecastFlags extends EvidenceFlags {
  readonly json?: boolean;
  readonly details?: boolean;
  /** Simulated cells; `trials` is its former name. */
  readonly cells?: number;
  readonly trials?: number;
  readonly adaptive?: boolean;
  readonly order?: Order;
  readonly threads?: number;
  readonly out?: string;
  readonly lengths?: Job["lengths"];
}

/** `sukima predict JOBFOLDER --uncertain`: how often the cells to come will close. */
export async function predictUncertainCommand(
  folder: string,
  flags: ForecastFlags,
  onProgress: (step: string) => void,
  { budget = true }: Pick<ForecastOptions, "budget"> = {},
): Promise<string> {
  const { json, adaptive, order, seed, threads, out, lengths, cells = flags.trials } = flags;
  if (adaptive && cells !== undefined)
    throw new UserError(
      "usage",
      "--cells and --adaptive exclude each other: an adaptive run finds its own number.",
    );
  if (out !== undefined) requireWritable(out);
  const job = withLengths(loadJob(folder), lengths);
  const options = given({ trials: adaptive ? ("adaptive" as const) : cells, order, seed, threads });
  const posterior = folderPosterior(folder, job, flags, onProgress);
  const forecast = await withProgress((tell) =>
    forecastCells(job, { posterior, budget, ...options, ...tell }),
  );
  const written = await writeCharts(out, () => forecastCharts(forecast));
  if (json) return JSON.stringify(forecastJson(forecast), null, 1);
  return [forecastText(forecast, flags.details ?? false), ...written].join("\n");
}

/** A forecast for other programs: mm, degrees, chances and shares as numbers from 0 to 1. */
export function forecastJson(forecast: Forecast): unknown {
  const { job, sources, trials, status, order, seed, tolerance, cell, joints, orders, budget } = forecast;
  return {
    job: job.title,
    ...evidenceJson(forecast.posterior),
    trials,
    status,
    order,
    seed,
    tolerance,
    limits: job.limits,
    sources: sources.groups.map(sourceJson),
    cell: {
      ...openingJson(cell),
      shortest: cell.shortest,
      shortestErrors: cell.shortestErrors,
      pressQuantiles: cell.pressQuantiles,
    },
    shops: forecast.shops,
    joints: joints.map((joint) => ({ joint: joint.joint, ...openingJson(joint) })),
    lengths: job.lengths,
    trims: forecast.trims,
    unfitted: forecast.unfitted,
    orders,
    atOnce: forecast.atOnce,
    budget: budget && {
      ...budget,
      lines: budget.lines.map(({ group, first, total, drop }) => ({
        source: sourceText(group.id),
        id: group.id,
        first,
        total,
        drop,
      })),
    },
  };
}

function openingJson(opening: OpeningForecast): Record<string, unknown> {
  const { beyondGap, beyondPress, closes, mean, standardDeviation, quantiles, linear, linearVerdict } =
    opening;
  return {
    beyondGap,
    beyondPress,
    closes,
    mean,
    standardDeviation,
    quantiles,
    linear: { ...linear, ...linearVerdict },
  };
}

/** Each source with its means and standard deviations; those of a group that are alike are told once, with their number. */
function sourceJson({ id, shared, spread }: SourceGroup): unknown {
  const alike = new Map<string, { mean: number; deviation: number; unit: string; draws: number }>();
  for (const { mean, deviation, angular } of spread) {
    const size = angular ? DEGREE : 1;
    const key = `${mean} ${deviation} ${angular}`;
    const known = alike.get(key);
    if (known) known.draws++;
    else
      alike.set(key, {
        mean: mean / size,
        deviation: deviation / size,
        unit: angular ? "degrees" : "mm",
        draws: 1,
      });
  }
  return { name: sourceText(id), id, shared, of: [...alike.values()] };
}

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

/** The widest gap of a cell; below it the deepest press, where more cells fail by it than by a gap. */
function spreadChart(
  { job, gapCounts, pressCounts, cell }: Forecast,
  options: { readonly width?: number },
): ChartSpec {
  const { gap, snug } = closingLimits(job);
  const pressDecides = cell.beyondPress.value > cell.beyondGap.value;
  const inGap = gapCounts.shareUpTo(gap);
  const notes = pressDecides
    ? [
        `${shareText(inGap)} of the cells keep the gap limit; press decides: ${shareText(inGap - cell.closes.value)} keep it and are pressed by more than ${smallLength(snug, job.units)}.`,
      ]
    : [];
  return gapDistribution(
    {
      before: { ...inSteps(gapCounts, gap), says: `${chanceText(cell.closes.value)} close` },
      after: null,
      gapLimit: gap,
      ...(pressDecides && { press: { before: inSteps(pressCounts, snug), after: null, limit: snug } }),
    },
    {
      ...options,
      unit: smallUnit(job.units),
      names: { before: "cells to come", after: "" },
      title: `${pressDecides ? "The widest gap and the deepest press" : "The widest gap"} of the cells to come`,
      notes,
    },
  );
}

/** Shares of the cells in steps, one edge on the limit (mm), so that a step is wholly within or wholly beyond it. */
function inSteps(counts: GapCounts, limit: number): BinnedGaps {
  const edges = edgesUpTo(counts.quantile(TAKEN_IN), limit);
  const upTo = edges.map((edge, i) => (i === 0 ? 0 : counts.shareUpTo(edge)));
  return {
    edges,
    shares: upTo.slice(1).map((share, i) => share - at(upTo, i)),
    beyond: 1 - at(upTo, upTo.length - 1),
  };
}

const offered = (name: string, shows: string): JobPicture => ({
  name,
  shows,
  needs: "job",
  async draw({ job, readings, seed, onProgress, once }) {
    const posterior = once("posterior", () => jobPosterior(job, readings, { seed, onProgress }));
    const forecast = await once("cells to come", () => {
      onProgress("simulating the cells to come");
      return forecastCells(job, { posterior, seed });
    });
    const spec = new Map(forecastCharts(forecast)).get(name);
    if (spec) return drawChart(spec);
    throw new UserError(
      "picture",
      `There is no picture “${name}”: no error that this job allows for changes the widest gap.`,
    );
  },
});

/** Pictures of the cells to come. */
export const FORECAST_PICTURES: readonly JobPicture[] = [
  offered("spread", "widest gaps of the cells to come, from what the job trusts"),
  offered("budget", "which error source that spread comes from"),
];
