import { extname } from "node:path";
import { UsageError } from "../../core/errors.js";
import { writeFile } from "../../core/files/write-files.js";
import { loadJob } from "../../io/job/load-job.js";
import { chartLabels } from "../../render/charts/chart-spec.js";
import { specToSvg } from "../../render/charts/draw-chart.js";
import { seasonChart } from "./season-charts.js";
import { seasonJson } from "./season-json.js";
import { seasonText } from "./season-text.js";
import { predictSeason } from "./season-year.js";

export interface SeasonFlags {
  readonly json?: boolean;
  readonly cells?: number;
  readonly seed?: number;
  readonly out?: string;
}

/** `sukima season JOBFOLDER`: moisture, thickness and gaps through the year. */
export async function seasonCommand(
  folder: string,
  { json, cells, seed, out }: SeasonFlags,
  onProgress: (step: string) => void,
): Promise<string> {
  if (out !== undefined && extname(out).toLowerCase() !== ".svg")
    throw new UsageError(`The chart is written as SVG: --out names a file ending in .svg; got “${out}”.`);
  const job = loadJob(folder);
  if (job.season) onProgress(`following the cells through ${job.season.year.length} states of the year`);
  const year = predictSeason(job, {
    ...(cells === undefined ? {} : { cells }),
    ...(seed === undefined ? {} : { seed }),
  });
  if (out !== undefined) {
    const spec = seasonChart(year);
    writeFile(out, await specToSvg(spec, chartLabels(spec)));
  }
  if (json) return JSON.stringify(seasonJson(year), null, 1);
  return `${seasonText(year)}${out === undefined ? "" : `\nDrawn: ${out}`}`;
}
