import { type ChartSpec, chartLabels } from "../../charts/chart-spec.js";
import { type Chart, chart } from "../../charts/render/chart.js";
import { statesChart } from "../../charts/states-chart.js";
import type { JobTolerances } from "../../tolerances/job-tolerances.js";
import { chanceText } from "../text/shop-numbers.js";

/** What more closing cells cost; `null` where no point of the trade-off is within reach. */
export function toleranceChart(
  { curve, costToday, today }: JobTolerances,
  options: { readonly width?: number } = {},
): ChartSpec | null {
  const points = curve.flatMap(({ chance, cost }) => (cost === null ? [] : [{ chance, cost }]));
  if (points.length < 2) return null;
  return statesChart(
    points.map(({ chance }) => `${Math.round(100 * chance)} %`),
    [
      {
        title: "Cost of the cheapest tolerances",
        values: points.map(({ cost }) => ({ value: cost })),
        level: {
          value: costToday,
          label: `cost of today’s, ${chanceText(today.value)} close`,
          kind: "mark",
        },
      },
    ],
    {
      ...options,
      title: "What more closing cells cost",
      notes: [
        "Along the bottom the chance that a cell closes, in uneven steps. Half a tolerance costs twice as much.",
      ],
      names: { line: "least cost", band: "" },
    },
  );
}

/** Drawn for a notebook or a file. */
export async function tolerancePicture(tolerances: JobTolerances): Promise<Chart | null> {
  const spec = toleranceChart(tolerances);
  return spec && chart(spec, chartLabels(spec));
}
