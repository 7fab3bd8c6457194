import { given } from "../../cli/arguments.js";
import { withProgress } from "../../cli/progress.js";
import { UserError } from "../../core/errors.js";
import { DEGREE } from "../../core/geometry.js";
import { jobPosterior } from "../../inference/job-posterior.js";
import { loadJob } from "../../io/job/load-job.js";
import type { Order } from "../../model/cell/cell.js";
import { budgetBars } from "../../render/charts/budget-bars.js";
import type { ChartOptions, ChartSpec } from "../../render/charts/chart-spec.js";
import { drawChart } from "../../render/charts/draw-chart.js";
import { evidenceJson } from "../../render/evidence-text.js";
import { type JobPicture, writeCharts } from "../../render/pictures.js";
import { shareText, smallLength } from "../../render/shop-numbers.js";
import type { Drawing } from "../../render/svg.js";
import { type EvidenceFlags, folderPosterior } from "../evidence/index.js";
import type { PanelWay } from "./grid-shape.js";
import { panelDrawing } from "./panel-drawing.js";
import { panelMap } from "./panel-map.js";
import type { PanelPrediction } from "./panel-prediction.js";
import { panelText } from "./panel-text.js";
import { predictPanel } from "./predict-panel.js";

export interface PanelFlags extends EvidenceFlags {
  readonly json?: boolean;
  readonly details?: boolean;
  readonly panels?: number;
  readonly way?: PanelWay;
  readonly order?: Order;
  readonly threads?: number;
  /** Do not compare other ways and compute no budget. */
  readonly quick?: boolean;
  readonly out?: string;
  readonly png?: boolean;
}

/** Width of a drawing in px per column of the panel, and its minimum and maximum. */
const WIDTH = { column: 22, least: 360, most: 1200 } as const;

/** `sukima panel JOBFOLDER`: how likely the job's panel closes, what is to be re-fitted, and why. */
export async function panelCommand(
  folder: string,
  flags: PanelFlags,
  onProgress: (step: string) => void,
): Promise<string> {
  const { json, quick, out, png, panels, way, order, seed, threads } = flags;
  const job = loadJob(folder);
  const options = given({ panels, way, order, seed, threads, ...(quick && { ways: false, budget: false }) });
  const posterior = folderPosterior(folder, job, flags, onProgress);
  const prediction = await withProgress((tell) => predictPanel(job, { posterior, ...options, ...tell }));
  const width = Math.min(WIDTH.most, Math.max(WIDTH.least, WIDTH.column * prediction.shape.panel.columns));
  const written = await writeCharts(out, () => panelCharts(prediction, { width }), {
    png: png ?? false,
    width,
  });
  if (json) return JSON.stringify(panelJson(prediction), null, 1);
  return [panelText(prediction, flags.details ?? false), ...written].join("\n");
}

/** A panel for other programs: mm, degrees, chances and shares as numbers from 0 to 1, rows and columns from 1. */
export function panelJson({ job, posterior, shape, walls, ...rest }: PanelPrediction): unknown {
  const { kind, panel, opening, strip, width, height } = shape;
  return {
    job: job.title,
    ...evidenceJson(posterior),
    panel: {
      ...panel,
      border: { ...panel.border, turn: panel.border.turn / DEGREE },
      racked: panel.racked / DEGREE,
    },
    nominal: {
      grid: kind,
      opening,
      strip,
      width,
      height,
      ...(shape.kind === "three-way" && { halves: shape.grid.halves }),
    },
    limits: job.limits,
    ...rest,
    walls: { ...walls, turn: walls.turn / DEGREE },
  };
}

/** Named drawings of a panel: how often each cell fails, how wide it gaps, and what drives it. */
export function panelCharts(
  prediction: PanelPrediction,
  options: Pick<ChartOptions, "width"> = {},
): [name: string, spec: ChartSpec | Drawing][] {
  const { budget } = prediction;
  return [
    ["panel-fails", failsMap(prediction, options)],
    ["panel-gaps", gapsMap(prediction, options)],
    ...(budget === null || budget.refits.value === 0
      ? []
      : [["panel-budget", costs(budget, options)] as [string, ChartSpec]]),
  ];
}

const placesOf = ({ panel: { rows, columns }, kind }: PanelPrediction["shape"]) => ({
  rows,
  columns,
  threeWay: kind === "three-way",
});

/** In how many panels each cell does not close. */
export const failsMap = (
  { shape, places }: PanelPrediction,
  options: Pick<ChartOptions, "width"> = {},
): Drawing =>
  panelMap(
    {
      ...placesOf(shape),
      values: places.map(({ fails }) => fails.value),
      label: shareText,
      what: "chance that the cell does not close",
    },
    { title: "Which cells do not close", ...options },
  );

/** How wide each cell's widest gap is on average. */
export const gapsMap = (
  { job, shape, places }: PanelPrediction,
  options: Pick<ChartOptions, "width"> = {},
): Drawing =>
  panelMap(
    {
      ...placesOf(shape),
      values: places.map(({ meanGap }) => meanGap),
      label: (mm) => smallLength(mm, job.units),
      what: "mean of the cell's widest gap",
    },
    { title: "How wide the cells gap", ...options },
  );

/** Share of the cells to re-fit that each source costs. */
const costs = (
  { sources, refits }: NonNullable<PanelPrediction["budget"]>,
  options: Pick<ChartOptions, "width">,
): ChartSpec =>
  budgetBars(
    sources.map(({ name, fewerRefits }) => ({ label: name, value: fewerRefits.value / refits.value })),
    {
      unit: "share",
      most: sources.length,
      ...options,
      title: "What the cells to re-fit come from",
      axisTitle: "Fewer re-fits if it did not vary",
    },
  );

const offered = (name: string, shows: string): JobPicture => ({
  name,
  shows,
  needs: "panel",
  async draw({ job, readings, seed, onProgress, once }) {
    const posterior = once("posterior", () => jobPosterior(job, readings, { seed, onProgress }));
    onProgress("simulating panels");
    const budget = name === "panel-budget";
    // The maps of one panel come from the same simulated panels.
    const prediction = await once(`panel, budget: ${budget}`, () =>
      predictPanel(job, { posterior, seed, ways: false, budget }),
    );
    const spec = new Map(panelCharts(prediction)).get(name);
    if (spec) return drawChart(spec);
    throw new UserError("picture", `There is no picture “${name}”: every cell of this job's panel closes.`);
  },
});

/** px: wide enough for the pieces of many cells. */
const WHOLE_PANEL = 640;

/** Pictures of a panel. */
export const PANEL_PICTURES: readonly JobPicture[] = [
  {
    name: "panel",
    shows: "the whole panel with its pattern, to scale",
    needs: "panel",
    draw: ({ job }) => drawChart(panelDrawing(job, { width: WHOLE_PANEL })),
  },
  offered("panel-fails", "how often each cell of the panel does not close"),
  offered("panel-gaps", "how wide each cell of the panel gaps"),
  offered("panel-budget", "what the panel's cells to re-fit come from"),
];
