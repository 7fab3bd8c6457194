import { extname } from "node:path";
import { UsageError } from "../../core/errors.js";
import { writeFile } from "../../core/files/write-files.js";
import { loadJob } from "../../io/job/load-job.js";
import { chartLabels } from "../../render/charts/chart-spec.js";
import { specToSvg } from "../../render/charts/draw-chart.js";
import { type JobTolerancesOptions, planTolerances } from "./job-tolerances.js";
import { toleranceChart, toleranceJson } from "./tolerance-json.js";
import { toleranceReport } from "./tolerance-text.js";

export interface ToleranceFlags {
  readonly chance?: number;
  readonly curve?: boolean;
  readonly json?: boolean;
  readonly seed?: number;
  readonly out?: string;
}

/** `sukima tolerances JOBFOLDER`: how good each ramp, stop, thickness and lap must be. */
export async function tolerancesCommand(
  folder: string,
  { chance, curve, json, seed, out }: ToleranceFlags,
  onProgress: (step: string) => void,
  cells?: JobTolerancesOptions["cells"],
): Promise<string> {
  if (out !== undefined && extname(out).toLowerCase() !== ".svg")
    throw new UsageError(`The chart is written as SVG: --out names a file ending in .svg; got “${out}”.`);
  const tolerances = await planTolerances(loadJob(folder), {
    ...{ onProgress, curve: curve ?? true },
    ...(chance === undefined ? {} : { chance }),
    ...(seed === undefined ? {} : { seed }),
    ...(cells && { cells }),
  });
  let drawn = "";
  if (out !== undefined) {
    const spec = toleranceChart(tolerances);
    if (spec === null)
      throw new UsageError(
        "There is no trade-off to draw: leave out --no-curve, and see that some chance is within reach.",
      );
    writeFile(out, await specToSvg(spec, chartLabels(spec)));
    drawn = `\nDrawn: ${out}`;
  }
  if (json) return JSON.stringify(toleranceJson(tolerances), null, 1);
  return `${toleranceReport(tolerances)}${drawn}`;
}
