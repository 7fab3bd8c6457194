import { budgetBars } from "../../render/charts/budget-bars.js";
import type { ChartSpec } from "../../render/charts/chart-spec.js";
import { shareText } from "../../render/percent.js";
import { smallLength } from "../../render/shop-numbers.js";
import { panelMap } from "./panel-map.js";
import type { PanelPrediction } from "./panel-prediction.js";

interface Options {
  readonly width?: number;
}

/** Named drawings of a panel: how often each cell fails, how wide it gaps, and what drives it. */
export function panelCharts(
  prediction: PanelPrediction,
  options: Options = {},
): [name: string, spec: ChartSpec][] {
  const { budget } = prediction;
  return [
    ["fails", failsMap(prediction, options)],
    ["gaps", gapsMap(prediction, options)],
    ...(budget === null || budget.refits.value === 0
      ? []
      : [["budget", costs(budget, options)] as [string, ChartSpec]]),
  ];
}

const placesOf = ({ panel: { rows, columns }, kind }: PanelPrediction["shape"]) => ({
  ...{ rows, columns, threeWay: kind === "three-way" },
});

/** In how many panels each cell does not close. */
export const failsMap = ({ shape, places }: PanelPrediction, options: Options = {}): ChartSpec =>
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
export const gapsMap = ({ job, shape, places }: PanelPrediction, options: Options = {}): ChartSpec =>
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
const costs = ({ sources, refits }: NonNullable<PanelPrediction["budget"]>, options: Options): ChartSpec =>
  budgetBars(
    sources.map(({ name, fewerRefits }) => ({ label: name, value: fewerRefits.value / refits.value })),
    {
      ...{ unit: "share", most: sources.length, ...options },
      title: "What the cells to re-fit come from",
      axisTitle: "Re-fits fewer if it did not vary",
    },
  );
