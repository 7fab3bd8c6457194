import type { Forecast, OpeningForecast } from "../../inference/forecast/forecast-cells.js";
import type { SourceGroup } from "../../inference/forecast/forecast-sources.js";

const DEGREE = Math.PI / 180;

/** A forecast for other programs: mm, degrees, chances and shares as numbers from 0 to 1. */
export function forecastJson(forecast: Forecast): unknown {
  const { job, sources, trials, status, order, seed, tolerance, cell, joints, orders, budget } = forecast;
  return {
    job: job.title,
    ...{ trials, status, order, seed, tolerance },
    limits: job.limits,
    sources: sources.groups.map(sourceJson),
    cell: {
      ...openingJson(cell),
      shortest: cell.shortest,
      shortestErrors: cell.shortestErrors,
      pressQuantiles: cell.pressQuantiles,
    },
    joints: joints.map((joint) => ({ joint: joint.joint, ...openingJson(joint) })),
    lengths: job.lengths,
    trims: forecast.trims,
    unfitted: forecast.unfitted,
    orders,
    atOnce: forecast.atOnce,
    budget: budget && {
      ...budget,
      lines: budget.lines.map(({ group, first, total, drop }) => ({
        ...{ source: group.name, first, total, drop },
      })),
    },
  };
}

function openingJson(opening: OpeningForecast): Record<string, unknown> {
  const { beyondGap, beyondPress, closes, mean, standardDeviation, quantiles, linear, linearVerdict } =
    opening;
  return {
    ...{ beyondGap, beyondPress, closes, mean, standardDeviation, quantiles },
    linear: { ...linear, ...linearVerdict },
  };
}

/** Each source with its normal distributions; those of a group that are alike are told once, with their number. */
function sourceJson({ name, shared, spread }: SourceGroup): unknown {
  const alike = new Map<string, { mean: number; deviation: number; unit: string; draws: number }>();
  for (const { mean, deviation, angular } of spread) {
    const size = angular ? DEGREE : 1;
    const key = `${mean} ${deviation} ${angular}`;
    const known = alike.get(key);
    if (known) known.draws++;
    else
      alike.set(key, {
        ...{ mean: mean / size, deviation: deviation / size, unit: angular ? "degrees" : "mm", draws: 1 },
      });
  }
  return { name, shared, distribution: "normal", of: [...alike.values()] };
}
