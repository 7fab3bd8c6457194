import { UsageError } from "../../core/errors.js";
import { requireWritable } from "../../core/files/write-files.js";
import { type ForecastOptions, forecastCells } from "../../inference/forecast/forecast-cells.js";
import { loadJob } from "../../io/job/load-job.js";
import type { Order } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import { chartLabels } from "../../render/charts/chart-spec.js";
import { specToSvg } from "../../render/charts/draw-chart.js";
import { drawnFiles } from "../../render/drawn-files.js";
import { progressLine } from "../../render/progress-line.js";
import { withLengths } from "../predict/index.js";
import { forecastCharts } from "./forecast-charts.js";
import { forecastJson } from "./forecast-json.js";
import { forecastText } from "./forecast-text.js";

export interface ForecastFlags {
  readonly json?: boolean;
  readonly trials?: number;
  readonly adaptive?: boolean;
  readonly order?: Order;
  readonly seed?: number;
  readonly threads?: number;
  readonly out?: string;
  readonly lengths?: Job["lengths"];
}

/** `sukima predict JOBFOLDER --uncertain`: how often the cells to come will close. Ctrl-C ends it with what is known; a second one ends it at once. */
export async function predictUncertainCommand(folder: string, flags: ForecastFlags): Promise<string> {
  const { json, trials, adaptive, order, seed, threads, out, lengths } = flags;
  if (adaptive && trials !== undefined)
    throw new UsageError("--trials and --adaptive exclude each other: an adaptive run finds its own number.");
  if (out !== undefined) requireWritable(out);
  const job = withLengths(loadJob(folder), lengths);
  const stop = new AbortController();
  const onInterrupt = (): void => stop.abort();
  process.once("SIGINT", onInterrupt);
  const line = progressLine(process.stderr);
  const options: ForecastOptions = {
    ...{ signal: stop.signal, onProgress: line.show },
    ...(adaptive ? { trials: "adaptive" } : trials === undefined ? {} : { trials }),
    ...(order && { order }),
    ...(seed === undefined ? {} : { seed }),
    ...(threads === undefined ? {} : { threads }),
  };
  try {
    const forecast = await forecastCells(job, options);
    line.end();
    const files: Record<string, string> = {};
    for (const [name, spec] of out === undefined ? [] : forecastCharts(forecast))
      files[`${name}.svg`] = await specToSvg(spec, chartLabels(spec));
    const written = drawnFiles(out, files);
    if (json) return JSON.stringify(forecastJson(forecast), null, 1);
    return [forecastText(forecast), ...written].join("\n");
  } finally {
    line.end();
    process.off("SIGINT", onInterrupt);
  }
}
