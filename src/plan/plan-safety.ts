import type { Source } from "../cutting/sources.js";
import { chooseTrials, type TrialChoice } from "./choose-trials.js";
import { expectedCovariance } from "./expected-covariance.js";
import { chanceSafe, type Leeway } from "./safe-verdict.js";
import type { TrialOption } from "./trial-options.js";

/** How sure a verdict is: the chance that no error left over is beyond its leeway. */
export interface Safety {
  readonly sure: number;
  readonly now: number;
  readonly afterPlan: number;
  /** Pieces until it is as sure as wanted, this plan's and, beyond it, the best further ones; 0 when it is now, `null` when {@link MOST_TRIALS} trials do not make it so. */
  readonly piecesNeeded: number | null;
  readonly trialsNeeded: number | null;
  readonly leeways: readonly Leeway[];
}

/** Trials beyond which nothing more is promised. */
export const MOST_TRIALS = 40;

export interface SafetyProblem {
  readonly choice: TrialChoice;
  readonly kinds: readonly TrialOption[];
  readonly sources: readonly Source[];
  readonly leeways: readonly Leeway[];
  readonly sure: number;
  readonly seed: number;
}

/** How sure the verdict is now, after a plan (by its kinds), and how many pieces make it as sure as wanted. */
export function planSafety(
  { choice, kinds, sources, leeways, sure, seed }: SafetyProblem,
  plan: readonly number[],
): Safety {
  const sureness = (sums: readonly Float64Array[]): number =>
    chanceSafe(leeways, expectedCovariance(sources, sums), seed);
  let sums = choice.base.map((matrix) => matrix.slice());
  const now = sureness(sums);
  let afterPlan = now;
  let pieces = 0;
  let needed: { pieces: number; trials: number } | null = now >= sure ? { pieces: 0, trials: 0 } : null;
  for (let trial = 1; trial <= MOST_TRIALS; trial++) {
    const kind = plan[trial - 1] ?? bestOf(choice, sums);
    if (kind === null) break;
    sums = sums.map((sum, s) => sum.map((x, k) => x + choice.information[kind]![s]![k]!));
    pieces += kinds[kind]!.pieces;
    const sureNow = sureness(sums);
    if (trial === plan.length) afterPlan = sureNow;
    if (needed === null && sureNow >= sure) needed = { pieces, trials: trial };
    if (needed !== null && trial >= plan.length) break;
  }
  return {
    ...{ sure, now, afterPlan, leeways },
    piecesNeeded: needed?.pieces ?? null,
    trialsNeeded: needed?.trials ?? null,
  };
}

/** The kind that is worth most per cost next. */
function bestOf(choice: TrialChoice, sums: readonly Float64Array[]): number | null {
  const { kinds } = chooseTrials({ ...choice, base: sums }, { trials: 1 });
  return kinds[0] ?? null;
}
