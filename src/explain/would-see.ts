import { bestCheck } from "./best-check.js";
import { probesOf } from "./cells-read.js";
import type { WeighedCheck } from "./check.js";
import type { Explanation, Verdict } from "./explain-cells.js";
import { widestOf } from "./log-likelihood.js";

/** How much of what the readings could not see another reading would. */
export interface Unseen {
  /** For each cause the reading that would best tell it from nothing but scatter; `null` where none of the job's would. */
  readonly byCause: readonly { readonly verdict: Verdict; readonly check: WeighedCheck | null }[];
  /** For each instrument that reads gaps, the chance that it finds one open at any joint of this cell if there is a cause, most likely first. */
  readonly inThisCell: readonly {
    readonly instrument: string;
    readonly at: string;
    readonly chance: number;
  }[];
  /** Widest gap that such a cell still has, mm: half of them have a wider one. */
  readonly medianWidest: number;
}

/** What would see that which the readings of a cell did not. */
export function wouldSee(explanation: Explanation): Unseen {
  const { verdicts, job, specimen } = explanation;
  const nothing = verdicts.find(({ causes }) => causes.length === 0)!;
  const causes = verdicts.filter((verdict) => verdict.causes.length === 1);
  const draws = causes.flatMap(({ weighed: { draws: list }, probability }) => {
    const total = list.reduce((sum, { logWeight }) => sum + Math.exp(logWeight), 0);
    return list.map(({ gaps, logWeight }) => ({ gaps, weight: (probability * Math.exp(logWeight)) / total }));
  });
  const all = draws.reduce((sum, { weight }) => sum + weight, 0);
  const every = probesOf(specimen.cell, { subject: null, at: null });
  return {
    byCause: causes.map((verdict) => ({ verdict, check: bestCheck(explanation, verdict, nothing) })),
    inThisCell: job.instruments
      .filter(({ reads }) => reads.includes("gap"))
      .flatMap(({ name, reach, leaves, resolution, repeatability }) =>
        reach.map((at) => {
          const probes = probesOf(specimen.cell, { subject: null, at });
          const least = leaves[0] ?? Math.max(resolution ?? 0, 2 * repeatability);
          const seen = draws.filter(({ gaps }) => widestOf(probes, gaps) >= least);
          return { instrument: name, at, chance: seen.reduce((sum, { weight }) => sum + weight, 0) / all };
        }),
      )
      .sort((a, b) => b.chance - a.chance),
    medianWidest: weightedMedian(
      draws.map(({ gaps, weight }) => ({ value: widestOf(every, gaps), weight })),
      all,
    ),
  };
}

function weightedMedian(list: { value: number; weight: number }[], total: number): number {
  let left = total / 2;
  for (const { value, weight } of list.sort((a, b) => a.value - b.value)) {
    left -= weight;
    if (left <= 0) return value;
  }
  return 0;
}
