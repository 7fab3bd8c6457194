import { type Calibration, calibrateJob } from "../../inference/calibrate-job.js";
import { planTrials } from "../../inference/design/plan-trials.js";
import { forecastCells } from "../../inference/forecast/forecast-cells.js";
import { jobCell } from "../../inference/likelihood/specimen.js";
import type { Job } from "../../model/job/job.js";
import { jobAsCut } from "../../model/job/job-cell.js";
import type { Reading } from "../../model/readings.js";
import { predictCell } from "../../physics/predict/predict-cell.js";
import { cellDrawing } from "../../render/cell/cell-drawing.js";
import type { ChartSpec } from "../../render/charts/chart-spec.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import { smallUnit } from "../../render/shop-numbers.js";
import {
  drawCalibratedCell,
  drawEstimates,
  drawForecast,
  drawReadings,
  drawResiduals,
} from "../calibrate/index.js";
import { explainCells, patternBook, verdictDrawings } from "../explain/index.js";
import { panelCharts, predictPanel } from "../panel/index.js";
import { drawPlan } from "../plan/index.js";
import { forecastCharts } from "../predict/index.js";
import { drawSeason, predictSeason } from "../season/index.js";

/** There is no such picture, or the job has not what it shows; the message says which. */
export class PictureError extends Error {
  override readonly name = "PictureError";
}

type Kind = "job" | "calibration" | "plan" | "forecast" | "explanation" | "pattern" | "panel" | "year";

/** A picture that can be saved as a file. */
export interface PictureName {
  readonly name: string;
  readonly shows: string;
  readonly kind: Kind;
}

const OF_CALIBRATION: Readonly<
  Record<string, { readonly shows: string; readonly draw: (calibration: Calibration) => Promise<Chart> }>
> = {
  "cell-before": { shows: "the cell as the jigs are now", draw: (c) => drawCalibratedCell(c, "before") },
  "cell-after": { shows: "the cell after the moves", draw: (c) => drawCalibratedCell(c, "after") },
  readings: { shows: "every reading beside what the fit expects", draw: (c) => drawReadings(c) },
  estimates: { shows: "every jig and stop with its 95 % interval", draw: drawEstimates },
  residuals: { shows: "what each reading leaves over", draw: drawResiduals },
  forecast: { shows: "worst gaps of the cells to come, before and after", draw: drawForecast },
};

const OF_OUTLOOK: Readonly<Record<string, string>> = {
  spread: "worst gaps of the cells to come, from the job's tolerances",
  budget: "which source that spread comes from",
};

const PANEL = "panel-";
const OF_PANEL: Readonly<Record<string, string>> = {
  [`${PANEL}fails`]: "how often each cell of the panel does not close",
  [`${PANEL}gaps`]: "how wide each cell of the panel gaps",
  [`${PANEL}budget`]: "what the panel's cells to re-fit come from",
};

const CAUSES = ["cause-1", "cause-2", "cause-3"];

/** Every picture of a job by name. */
export function pictureNames(job: Job): PictureName[] {
  return [
    { name: "cell", shows: "the cell as it was cut", kind: "job" },
    ...Object.entries(OF_CALIBRATION).map(
      ([name, { shows }]): PictureName => ({ name, shows, kind: "calibration" }),
    ),
    { name: "plan", shows: "how well the worst gap is known after each trial to cut next", kind: "plan" },
    ...Object.entries(OF_OUTLOOK).map(([name, shows]): PictureName => ({ name, shows, kind: "forecast" })),
    ...CAUSES.map(
      (name, i): PictureName => ({
        ...{ name, kind: "explanation" },
        shows: `the cell if it is the ${["likeliest", "second", "third"][i]} of the likely causes`,
      }),
    ),
    ...(job.panel
      ? Object.entries(OF_PANEL).map(([name, shows]): PictureName => ({ name, shows, kind: "panel" }))
      : []),
    ...(job.season
      ? [{ name: "year", shows: "moisture, thickness and gap through the year", kind: "year" } as const]
      : []),
    ...patternBook(job).map(({ name, title }): PictureName => ({ name, shows: title, kind: "pattern" })),
  ];
}

export interface PictureOptions {
  /** Seed of what is drawn by lot; default 1. */
  readonly seed?: number;
  readonly onProgress?: (step: string) => void;
}

/**
 * A picture of a job, drawn.
 *
 * @throws PictureError for a name that is not there, or when the job lacks what it shows.
 */
export async function drawPicture(
  name: string,
  job: Job,
  readings: readonly Reading[],
  { seed = 1, onProgress = () => {} }: PictureOptions = {},
): Promise<Chart> {
  const found = pictureNames(job).find((one) => one.name === name);
  if (!found) throw unknownName(name, job);
  switch (found.kind) {
    case "job":
      return drawChart(asCutDrawing(job));
    case "calibration":
      if (readings.length === 0)
        throw new PictureError(`“${name}” shows trial cuts; the job needs a trials.csv; it has no readings.`);
      return OF_CALIBRATION[name]!.draw(calibrateJob(job, readings, { seed, onProgress }));
    case "plan":
      return drawPlan(planTrials(job, readings, { seed, onProgress }));
    case "forecast": {
      onProgress("drawing the cells to come");
      const spec = new Map(forecastCharts(await forecastCells(job, { seed }))).get(name);
      if (!spec)
        throw new PictureError(`There is no “${name}”: nothing that this job allows for matters here.`);
      return drawChart(spec);
    }
    case "explanation": {
      const drawings = verdictDrawings(explainCells(job, readings, { seed }));
      const spec = drawings[CAUSES.indexOf(name)];
      if (!spec)
        throw new PictureError(
          `There is no “${name}”: the gaps of this job's cells leave ${drawings.length} likely single causes to draw.`,
        );
      return drawChart(spec);
    }
    case "panel": {
      onProgress("simulating panels");
      const budget = name === `${PANEL}budget`;
      const prediction = await predictPanel(job, { seed, ways: false, budget });
      const spec = new Map(panelCharts(prediction)).get(name);
      if (!spec) throw new PictureError(`There is no “${name}”: every cell of this job's panel closes.`);
      return drawChart(spec);
    }
    case "year":
      return drawSeason(predictSeason(job, { seed }));
    case "pattern":
      return drawChart(
        patternBook(job)
          .find((page) => page.name === name)!
          .draw(),
      );
  }
}

function asCutDrawing(job: Job): ChartSpec {
  const cell = jobCell(job);
  const errors = jobAsCut(job, cell);
  return cellDrawing(
    { cell, errors, prediction: predictCell(cell, errors, job) },
    {
      ...{ title: "The cell as it was cut", unit: smallUnit(job.units) },
      ...{ gapLimit: job.limits.gap, snugLimit: job.limits.snug },
    },
  );
}

function unknownName(name: string, job: Job): PictureError {
  const names = pictureNames(job).map((one) => one.name);
  const near = names.filter((one) => one.includes(name) || name.includes(one));
  const list = near.length > 0 ? `Did you mean ${near.join(", ")}?` : `There are ${names.join(", ")}.`;
  return new PictureError(`There is no picture “${name}”. ${list}`);
}
