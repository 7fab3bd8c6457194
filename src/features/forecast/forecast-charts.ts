import type { Forecast } from "../../inference/forecast/forecast-cells.js";
import { budgetBars } from "../../render/charts/budget-bars.js";
import type { ChartSpec } from "../../render/charts/chart-spec.js";
import { gapDistribution } from "../../render/charts/gap-distribution.js";
import { chanceText } from "../../render/shop-numbers.js";

const STEPS = 40;
/** Share of the cells that the axis takes in. */
const TAKEN_IN = 0.995;

/** The spread of the worst gap and, where it was worked out, its budget: named drawings. */
export function forecastCharts(
  forecast: Forecast,
  options: { readonly width?: number } = {},
): [name: string, spec: ChartSpec][] {
  const { budget } = forecast;
  const bars = budget?.lines.map(({ group, total }) => ({
    label: group.name,
    value: Math.max(0, total.value),
  }));
  return [
    ["spread", spreadChart(forecast, options)],
    ...(bars === undefined || budget?.status === "constant"
      ? []
      : [
          [
            "budget",
            budgetBars(bars, {
              ...options,
              unit: "share",
              most: bars.length,
              title: "What the widest gap's spread comes from",
              axisTitle: "Spread left if all else were known",
            }),
          ] as [string, ChartSpec],
        ]),
  ];
}

function spreadChart({ job, gapCounts, cell }: Forecast, options: { readonly width?: number }): ChartSpec {
  const { gap } = job.limits;
  const reach = Math.max(1.1 * gap, gapCounts.quantile(TAKEN_IN));
  // An edge falls on the limit, so that a step is wholly within or wholly beyond it.
  const within = Math.max(1, Math.floor((STEPS * gap) / reach));
  const step = gap / within;
  const edges = Array.from({ length: Math.ceil(reach / step - 1e-9) + 1 }, (_, i) =>
    Number((i * step).toPrecision(12)),
  );
  const upTo = edges.map((edge, i) => (i === 0 ? 0 : gapCounts.shareUpTo(edge)));
  const shares = upTo.slice(1).map((share, i) => share - upTo[i]!);
  return gapDistribution(
    {
      before: { edges, shares, beyond: 1 - upTo.at(-1)!, says: `${chanceText(cell.closes.value)} close` },
      after: null,
      gapLimit: gap,
    },
    { ...options, unit: job.units === "mm" ? "mm" : "thou", names: { before: "cells to come", after: "" } },
  );
}
