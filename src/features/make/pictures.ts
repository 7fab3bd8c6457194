import { present } from "../../core/numeric/dense.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import { jigsUsed } from "../../model/shop.js";
import { assemblyDrawing } from "../../render/cell/assembly-drawing.js";
import type { ChartOptions } from "../../render/charts/chart-spec.js";
import { drawChart } from "../../render/charts/draw-chart.js";
import type { JobPicture } from "../../render/pictures.js";
import type { Drawing } from "../../render/svg.js";
import { panelDrawing } from "../panel/index.js";
import type { AssemblyStep } from "./fitting-order.js";
import { fittingOrder } from "./fitting-order.js";
import { jigDrawing } from "./jig-drawing.js";
import { type JigPlan, jigPlans } from "./jig-plan.js";
import { lapDrawing } from "./lap-drawing.js";
import { gridLaps } from "./lap-plan.js";
import { neededAccuracy } from "./needed-accuracy.js";
import { kindsText, stepTitle } from "./step-sentences.js";

/** px: wide enough for the sizes of a jig to stand on their dimensions. */
const WIDTH = 640;

/** A cell at a step of its fitting. */
export const stepDrawing = (step: AssemblyStep, job: Job, options: ChartOptions = {}): Drawing =>
  assemblyDrawing(
    { ...step, cell: jobCell(job) },
    { title: stepTitle(step), notes: ["Numbered: the joints that close at this step."], ...options },
  );

/** The grid before any piece goes in: the panel with empty cells, or one opening where the job has no panel. */
export const gridDrawing = (job: Job, panel: boolean, options: ChartOptions = {}): Drawing =>
  panel
    ? panelDrawing(job, { title: "The grid, before any piece goes in", empty: true, ...options })
    : assemblyDrawing(
        { cell: jobCell(job), fresh: [], before: [], joints: [] },
        { title: "An opening of the grid, before any piece goes in", ...options },
      );

/** Every drawing of what is to be made: a jig each, the laps, the steps of fitting. */
export function makePictures(job: Job): JobPicture[] {
  // What a size must be exact to is worked out when a jig is drawn, and once.
  let plans: JigPlan[] | undefined;
  const planOf = (name: string): JigPlan => {
    plans ??= jigPlans(job, neededAccuracy(job));
    return present(plans.find((plan) => plan.name === name));
  };
  const laps = gridLaps(job);
  const draw = (drawing: () => Drawing) => async () => drawChart(drawing());
  return [
    ...jigsUsed(job).map(
      (name): JobPicture => ({
        name: `jig-${fileWord(name)}`,
        shows: `the jig ${name}, to make it from`,
        needs: "job",
        draw: draw(() => jigDrawing(planOf(name), job, { width: WIDTH })),
      }),
    ),
    ...(laps === null
      ? []
      : [
          {
            name: "laps",
            shows: "the laps of the grid's strips, and the sled",
            needs: "panel" as const,
            draw: draw(() => lapDrawing(laps, job, { width: WIDTH })),
          },
        ]),
    ...fittingOrder(job).map(
      (step): JobPicture => ({
        name: `step-${step.number}`,
        shows: `fitting a cell: ${kindsText(step)}`,
        needs: "job",
        draw: draw(() => stepDrawing(step, job)),
      }),
    ),
  ];
}

/** A name as a word of a file's name. */
const fileWord = (name: string): string => name.replaceAll(/[^\p{L}\p{N}._-]+/gu, "-").replace(/^\.+/, "-");
