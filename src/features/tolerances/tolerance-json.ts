import type { ChartSpec } from "../../render/charts/chart-spec.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import { statesChart } from "../../render/charts/states-chart.js";
import { chanceText } from "../../render/shop-numbers.js";
import type { JobTolerances } from "./job-tolerances.js";

const DEGREE = Math.PI / 180;

/** Tolerances as plain data for other programs: standard deviations in mm and degrees. */
export function toleranceJson({ job, lines, ...rest }: JobTolerances): object {
  return {
    ...rest,
    limits: job.limits,
    lines: lines.map(({ parts, ...line }) => ({
      ...line,
      parts: parts.map(({ angular, today, wanted }) => ({
        unit: angular ? "deg" : "mm",
        today: today / (angular ? DEGREE : 1),
        wanted: wanted / (angular ? DEGREE : 1),
      })),
    })),
  };
}

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
export async function drawTolerances(tolerances: JobTolerances): Promise<Chart | null> {
  const spec = toleranceChart(tolerances);
  return spec && drawChart(spec);
}
