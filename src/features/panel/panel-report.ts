import { given } from "../../cli/arguments.js";
import { withProgress } from "../../cli/progress.js";
import { UserError } from "../../core/errors.js";
import { DEGREE } from "../../core/geometry.js";
import { loadJob } from "../../io/job/load-job.js";
import type { Order } from "../../model/cell/cell.js";
import { budgetBars } from "../../render/charts/budget-bars.js";
import type { ChartOptions, ChartSpec } from "../../render/charts/chart-spec.js";
import { drawChart } from "../../render/charts/draw-chart.js";
import { type JobPicture, writeCharts } from "../../render/pictures.js";
import { shareText, smallLength } from "../../render/shop-numbers.js";
import type { Drawing } from "../../render/svg.js";
import type { PanelWay } from "./grid-shape.js";
import { panelMap } from "./panel-map.js";
import type { PanelPrediction } from "./panel-prediction.js";
import { panelText } from "./panel-text.js";
import { predictPanel } from "./predict-panel.js";

export interface PanelFlags {
  readonly json?: boolean;
  readonly panels?: number;
  readonly way?: PanelWay;
  readonly order?: Order;
  readonly seed?: number;
  readonly threads?: number;
  /** No other ways, no budget. */
  readonly quick?: boolean;
  readonly out?: string;
  readonly png?: boolean;
}

/** Pixels across a drawing for each column of the panel, and at least and at most. */
const WIDTH = { column: 22, least: 360, most: 1200 } as const;

/** `sukima panel JOBFOLDER`: how likely the job's panel closes, what is to be re-fitted, and why. */
export async function panelCommand(folder: string, flags: PanelFlags): Promise<string> {
  const { json, quick, out, png, panels, way, order, seed, threads } = flags;
  const job = loadJob(folder);
  const options = given({ panels, way, order, seed, threads, ...(quick && { ways: false, budget: false }) });
  const prediction = await withProgress((tell) => predictPanel(job, { ...options, ...tell }));
  const width = Math.min(WIDTH.most, Math.max(WIDTH.least, WIDTH.column * prediction.shape.panel.columns));
  const written = await writeCharts(out, () => panelCharts(prediction, { width }), {
    png: png ?? false,
    width,
  });
  if (json) return JSON.stringify(panelJson(prediction), null, 1);
  return [panelText(prediction), ...written].join("\n");
}

/** A panel for other programs: mm, degrees, chances and shares as numbers from 0 to 1, rows and columns from 1. */
export function panelJson({ job, shape, walls, ...rest }: PanelPrediction): unknown {
  const { kind, panel, opening, strip, width, height } = shape;
  return {
    job: job.title,
    panel: {
      ...panel,
      border: { ...panel.border, turn: panel.border.turn / DEGREE },
      racked: panel.racked / DEGREE,
    },
    nominal: {
      ...{ grid: kind, opening, strip, width, height },
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
  ...{ rows, columns, threeWay: kind === "three-way" },
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
      ...{ unit: "share", most: sources.length, ...options },
      title: "What the cells to re-fit come from",
      axisTitle: "Fewer re-fits if it did not vary",
    },
  );

const offered = (name: string, shows: string): JobPicture => ({
  ...{ name, shows, needs: "panel" },
  async draw({ job, seed, onProgress }) {
    onProgress("simulating panels");
    const prediction = await predictPanel(job, { seed, ways: false, budget: name === "panel-budget" });
    const spec = new Map(panelCharts(prediction)).get(name);
    if (spec) return drawChart(spec);
    throw new UserError("picture", `There is no “${name}”: every cell of this job's panel closes.`);
  },
});

/** Pictures of a panel. */
export const PANEL_PICTURES: readonly JobPicture[] = [
  offered("panel-fails", "how often each cell of the panel does not close"),
  offered("panel-gaps", "how wide each cell of the panel gaps"),
  offered("panel-budget", "what the panel's cells to re-fit come from"),
];
