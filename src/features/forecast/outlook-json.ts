import type { OpeningOutlook, Outlook } from "../../inference/forecast/job-outlook.js";
import type { SourceGroup } from "../../inference/forecast/outlook-sources.js";

const DEGREE = Math.PI / 180;

/** An outlook for other programs: mm, degrees, chances and shares as numbers from 0 to 1. */
export function outlookJson(outlook: Outlook): unknown {
  const { job, sources, trials, status, order, seed, tolerance, cell, joints, orders, budget } = outlook;
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
    trims: outlook.trims,
    unfitted: outlook.unfitted,
    orders,
    atOnce: outlook.atOnce,
    budget: budget && {
      ...budget,
      lines: budget.lines.map(({ group, first, total, drop }) => ({
        ...{ source: group.name, first, total, drop },
      })),
    },
  };
}

function openingJson(opening: OpeningOutlook): Record<string, unknown> {
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
