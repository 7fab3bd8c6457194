import { rankedChecks, WORTH_TAKING } from "./best-check.js";
import type { Cause } from "./cause.js";
import type { WeighedCheck } from "./check.js";
import type { Explanation, Verdict } from "./explain-cells.js";
import type { SizeFound } from "./size-found.js";

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
