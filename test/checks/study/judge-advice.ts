import { UserError } from "../../../src/core/errors.js";
import { cardDecision } from "../../../src/inference/card-decision.js";
import { adjustersOf, NO_MOVE, type Setting } from "../../../src/inference/decision/adjusters.js";
import { movesOf } from "../../../src/inference/decision/choose-moves.js";
import type { Decision } from "../../../src/inference/decision/decide-moves.js";
import {
  cellLosses,
  type DrawnCells,
  drawCells,
  meanOf,
} from "../../../src/inference/decision/drawn-cells.js";
import { equipmentOf } from "../../../src/inference/design/borrowed.js";
import type { ReadingValue } from "../../../src/inference/design/value-of-reading.js";
import { requireBelievable } from "../../../src/inference/estimates/believable-fit.js";
import { fitSources, type SourceFit } from "../../../src/inference/estimates/fit-sources.js";
import { residualsOf } from "../../../src/inference/estimates/judge-fit.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { cellSpecimen } from "../../../src/inference/likelihood/specimen.js";
import { type FitVerdict, judgeReadings } from "../../../src/inference/misfit/judge-readings.js";
import type { Job } from "../../../src/model/job/job.js";

/** The advice drawn from one data set, against the true sources. Losses are in scrapped pieces over the job's batch. */
export interface JudgedAdvice {
  /** How the fit was judged; `null` where its readings were refused as a whole. */
  readonly verdict: FitVerdict | null;
  /** Whether no move was ordered at all. */
  readonly held: boolean;
  /** Whether the advice moves anything. */
  readonly adjusted: boolean;
  /** True expected loss as the shop stands, and with the advised moves made, the cost of making them included. */
  readonly before: number;
  readonly after: number;
  /** The same two as the fit expects them. */
  readonly expectedBefore: number;
  readonly expectedAfter: number;
  readonly adjusters: readonly JudgedMove[];
  /** Where the card asks for a reading first: what comes of taking it. */
  readonly followed: FollowedReading | null;
}

export interface JudgedMove {
  readonly adjusted: boolean;
  readonly measureFirst: boolean;
  /** What the best of all settings of this adjuster would truly save against leaving it alone, the others as advised; before its cost. */
  readonly worth: number;
}

/** What comes of taking the reading that the card asks for first. */
export interface FollowedReading {
  /** Whether an instrument has to be borrowed for it. */
  readonly borrowed: boolean;
  /** True expected loss with the moves that are advised after it, their cost and that of the reading included. */
  readonly after: number;
}

export interface JudgeOptions {
  readonly seed: number;
  /** Cells that the true losses are taken over; default {@link TRUE_CELLS}. */
  readonly cells?: number;
  /** The job as the shop truly is, where it scatters otherwise than stated. */
  readonly trueJob?: Job;
  /** Whether a reading that the card asks for first is taken; default false. */
  readonly follow?: boolean;
  /** Whether only what becomes of the shop is wanted, and nothing of single adjusters; default false. */
  readonly brief?: boolean;
}

export const TRUE_CELLS = 400;

/**
 * Asks for advice as the card gives it and looks at what it would do in the true shop: cells drawn at the true sources, the same before and after, with the cuts' scatter and that
 * of re-setting.
 */
export function judgeAdvice(
  job: Job,
  fit: SourceFit,
  truth: Float64Array,
  options: JudgeOptions,
): JudgedAdvice {
  const { seed, cells = TRUE_CELLS, trueJob = job, follow = false, brief = false } = options;
  const specimen = cellSpecimen(job, fit.target.cells);
  const made = decisionFor(job, fit, { seed, brief });
  const advice = made?.decision?.advice ?? [];
  const held = !made || made.verdict.verdict === "does not fit" || (made.decision?.hold ?? null) !== null;
  if (brief && advice.every(({ setting }) => setting.change === 0))
    return { ...NOTHING_MOVED, held, verdict: made?.verdict ?? null };
  const { estimates, covariance, sample } = fit;
  const believed = drawCells(job, specimen, { estimates, covariance, sample, draws: cells, seed: seed + 2 });
  const known = { estimates: truth, covariance: new Float64Array(truth.length ** 2) };
  const forecast = drawCells(trueJob, cellSpecimen(trueJob, fit.target.cells), {
    ...known,
    draws: cells,
    seed: seed + 1,
  });
  const adjusters = adjustersOf(job, fit.sources);
  const lossIn = (drawn: DrawnCells, choice: readonly Setting[]): number =>
    meanOf(cellLosses(drawn, movesOf(truth.length, adjusters, choice)));
  const costOf = (choice: readonly Setting[]): number =>
    job.costs.adjusting * choice.filter(({ change }) => change !== 0).length;
  const lossOf = (choice: readonly Setting[]): number => lossIn(forecast, choice);
  const still = adjusters.map(() => NO_MOVE);
  const advised = advice.length > 0 ? advice.map(({ setting }) => setting) : still;
  const first = follow ? made?.decision?.readFirst : null;
  return {
    verdict: made?.verdict ?? null,
    held,
    adjusted: advised.some(({ change }) => change !== 0),
    before: lossOf(still),
    after: lossOf(advised) + costOf(advised),
    expectedBefore: lossIn(believed, still),
    expectedAfter: lossIn(believed, advised) + costOf(advised),
    adjusters: (brief ? [] : adjusters).map(({ settings }, k) => {
      const losses = settings.map((setting) => lossOf(advised.with(k, setting)));
      const own = advice[k];
      return {
        adjusted: advised[k]!.change !== 0,
        measureFirst: own?.verdict === "not known" && own.readPays,
        worth: lossOf(advised.with(k, NO_MOVE)) - Math.min(...losses),
      };
    }),
    followed: first
      ? followed(job, fit, first, { truth, seed, lossOf: (choice) => lossOf(choice) + costOf(choice) })
      : null,
  };
}

/** Where nothing is moved the loss stays what it is; it is not worked out. */
const NOTHING_MOVED = {
  adjusted: false,
  before: 0,
  after: 0,
  expectedBefore: 0,
  expectedAfter: 0,
  adjusters: [],
  followed: null,
};

/** What the card says; `null` where the readings are refused as a whole, and so no move is ordered. In brief, no decision is made where no move may be ordered. */
function decisionFor(
  job: Job,
  fit: SourceFit,
  { seed, brief = false }: { readonly seed: number; readonly brief?: boolean },
): { decision: Decision | null; verdict: FitVerdict } | null {
  try {
    const residuals = residualsOf(fit, seed);
    requireBelievable(fit, residuals);
    const verdict = judgeReadings(fit, residuals, seed);
    if (brief && verdict.verdict === "does not fit") return { decision: null, verdict };
    return cardDecision(job, fit, cellSpecimen(job, fit.target.cells), { seed, residuals, verdict });
  } catch (error) {
    if (error instanceof UserError) return null;
    throw error;
  }
}

/** Takes the reading in the true shop, with a borrowed instrument where it needs one, and asks for advice again. */
function followed(
  job: Job,
  fit: SourceFit,
  { readings, borrowed, cost }: ReadingValue,
  by: { truth: Float64Array; seed: number; lossOf: (choice: readonly Setting[]) => number },
): FollowedReading {
  const { instruments, borrowed: others } = equipmentOf(job);
  const used = new Set(readings.map(({ instrument }) => instrument));
  const equipped = { ...job, instruments: [...instruments, ...others.filter(({ name }) => used.has(name))] };
  const { cells } = fit.target;
  const plan = readings.map((reading, k) => ({ ...reading, id: `first-${k}` }));
  const taken = simulateTrials(equipped, plan, { truth: by.truth, seed: by.seed, substream: 1, cells });
  const next = fitSources(equipped, [...fit.target.readings, ...taken], {
    alsoWithoutPriors: false,
    cells,
  });
  const made = decisionFor(equipped, next, by);
  const advised =
    made?.decision?.advice.map(({ setting }) => setting) ?? adjustersOf(job, fit.sources).map(() => NO_MOVE);
  return { borrowed, after: by.lossOf(advised) + cost };
}
