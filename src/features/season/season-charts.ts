import { LINEAR_MOISTURE_RANGE } from "../../model/wood/dimensional-change.js";
import { shown } from "../../render/charts/axes.js";
import type { ChartSpec } from "../../render/charts/chart-spec.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import { type StateValue, statesChart } from "../../render/charts/states-chart.js";
import { smallLength } from "../../render/shop-numbers.js";
import type { Ranged, SeasonYear } from "./season-year.js";

/** Moisture, thickness and the gap that the season alone opens, month by month. */
export function seasonChart(year: SeasonYear, options: { readonly width?: number } = {}): ChartSpec {
  const { job, states, shopMoisture } = year;
  const unit = job.units === "mm" ? "mm" : "thou";
  const value = ({ expected, low, high }: Ranged): StateValue => ({
    value: shown(expected, unit),
    low: shown(low, unit),
    high: shown(high, unit),
  });
  const [low, high] = LINEAR_MOISTURE_RANGE;
  return statesChart(
    states.map(({ climate }) => climate.name),
    [
      {
        title: "Moisture the wood comes to (%)",
        values: states.map(({ moisture }) => ({ value: moisture })),
        level: {
          value: shopMoisture,
          label: `moisture in the shop, ${shopMoisture.toFixed(1)} %`,
          kind: "mark",
        },
        good: { low, high, label: `${low} to ${high} %: where the rule is good` },
      },
      {
        title: `Change of a strip’s thickness since the shop (${unit})`,
        values: states.map(({ infill }) => value(infill)),
      },
      {
        title: `Worst gap of a cell cut without error (${unit})`,
        values: states.map(({ gapAlone }) => value(gapAlone)),
        level: {
          value: shown(job.limits.gap, unit),
          label: `gap limit, ${smallLength(job.limits.gap, job.units)}`,
          kind: "limit",
        },
      },
    ],
    {
      ...options,
      title: "The screen through the year",
      names: { line: "expected", band: "95 % of screens" },
    },
  );
}

/** Drawn for a notebook or a file. */
export function drawSeason(year: SeasonYear): Promise<Chart> {
  return drawChart(seasonChart(year));
}
