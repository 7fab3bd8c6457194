import { extname } from "node:path";
import { chartLabels } from "../charts/chart-spec.js";
import { specToSvg } from "../charts/render/spec-to-svg.js";
import { writeFile } from "../files/write-file.js";
import { loadJob } from "../job/load-job.js";
import { seasonChart } from "../report/season/season-charts.js";
import { seasonJson } from "../report/season/season-json.js";
import { seasonText } from "../report/season/season-text.js";
import { seasonYear } from "../season/season-year.js";
import { UsageError } from "../core/errors.js";

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
  const year = seasonYear(job, {
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
