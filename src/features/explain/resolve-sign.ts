import { bestCheck, rankedChecks, WORTH_TAKING } from "./best-check.js";
import type { WeighedCheck } from "./candidate-checks.js";
import type { Explanation, Verdict } from "./explain-cells.js";
import { type Cause, probesOf } from "./hypothesis.js";
import { widestOf } from "./seat-cells.js";
import type { SizeFound } from "./weigh-hypothesis.js";

/** A lean of which the readings tell the size and not the sign. */
export interface UntoldSign {
  readonly cause: Cause;
  readonly size: SizeFound;
  /** The one reading that would tell the sign, foreseen above zero and below; `null` where none of the job's would. */
  readonly check: WeighedCheck | null;
}

/** Less probable hypotheses are not asked. */
const LIKELY = 0.1;

/** Every lean that a likely hypothesis takes to have either sign: as the single cause if that is likely, else among several. */
export function untoldSigns(explanation: Explanation): UntoldSign[] {
  const found = new Map<string, UntoldSign>();
  const likely = explanation.verdicts.filter(({ probability }) => probability >= LIKELY);
  for (const verdict of likely.toSorted((a, b) => a.causes.length - b.causes.length)) {
    for (const [k, cause] of verdict.causes.entries()) {
      const size = verdict.sizes[k]!;
      if (cause.kind !== "lean" || size.other === null || found.has(cause.name)) continue;
      found.set(cause.name, { cause, size, check: signCheck(explanation, verdict, k) });
    }
  }
  return [...found.values()];
}

/** One hypothesis weighed against itself: its draws with the cause above zero, and those with it below. */
function signCheck(explanation: Explanation, verdict: Verdict, k: number): WeighedCheck | null {
  const half = (sign: 1 | -1): Verdict => {
    const draws = verdict.weighed.draws.filter(({ sizes }) => Math.sign(sizes[k]!) === sign);
    return { ...verdict, weighed: { ...verdict.weighed, draws } };
  };
  // What else differs between the halves is luck: only a side of a joint tells which way it leans.
  const best = rankedChecks(explanation, half(1), half(-1)).find(({ check }) => check.side !== undefined);
  return best && best.bits >= WORTH_TAKING ? best : null;
}

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
