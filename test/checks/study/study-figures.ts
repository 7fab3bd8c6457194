import { incompleteBeta } from "../../../src/core/numeric/special-functions.js";
import { adjustersOf, NO_MOVE, type Setting } from "../../../src/inference/decision/adjusters.js";
import { decideMoves, movesOf } from "../../../src/inference/decision/decide-moves.js";
import {
  cellLosses,
  type DrawnCells,
  drawCells,
  meanOf,
  outcomesOf,
} from "../../../src/inference/decision/drawn-cells.js";
import type { SourceFit } from "../../../src/inference/estimates/fit-sources.js";
import { cellSpecimen, jobSources } from "../../../src/inference/likelihood/specimen.js";
import type { Job } from "../../../src/model/job/job.js";
import { isAngular } from "../../../src/model/source-id.js";
import { sourceText } from "../../../src/render/source-text.js";
import type { SourceTried, World, WorldTried } from "./try-world.js";

/** What a study found in one world. */
export interface WorldFigures {
  readonly world: string;
  readonly title: string;
  /** Whether coverage is a target here: not where readings are mistaken more grossly than any model tells. */
  readonly heldToCoverage: boolean;
  readonly dataSets: number;
  readonly failed: WorldTried["failed"];
  /** Share of all readings that said "nothing goes in". */
  readonly closed: number;
  readonly lines: readonly SourceLine[];
  readonly advice: AdviceLine | null;
}

const CONFIDENCE = 0.95;

/** Figures of all worlds; the bounds of the coverage hold for all sources of all worlds but the control together. */
export function studyFigures(worlds: readonly { world: World; done: WorldTried }[]): WorldFigures[] {
  const lines = worlds
    .filter(({ world }) => !world.control)
    .reduce((sum, { world }) => sum + jobSources(world.job).length, 0);
  const confidence = simultaneous(CONFIDENCE, Math.max(lines, 1));
  return worlds.map(({ world, done: { tried, failed } }) => {
    const readings = tried.reduce((sum, one) => sum + one.readings, 0);
    const judged = tried.flatMap(({ advice }) => advice ?? []);
    return {
      ...{ world: world.name, title: world.job.title, dataSets: tried.length, failed },
      heldToCoverage: world.heldToCoverage,
      closed: tried.reduce((sum, one) => sum + one.closed, 0) / readings,
      lines: jobSources(world.job).map(({ id }, i) =>
        sourceLine(
          tried.map(({ sources }) => sources[i]!),
          { world: world.name, source: sourceText(id), angular: isAngular(id.kind), confidence },
        ),
      ),
      advice: judged.length > 0 ? adviceLine(world.name, judged, world.job.costs.adjusting) : null,
    };
  });
}

/** Targets missed, in words; empty when all are met. A control whose coverage holds is a miss. */
export function missesOf(figures: readonly WorldFigures[]): string[] {
  return figures.flatMap(({ world, heldToCoverage, lines, advice, failed }) => {
    if (world === "control") {
      const caught = lines.some(({ bounds }) => bounds[1] < 0.93);
      return caught ? [] : ["control: closed joints taken as exact zeros went unnoticed"];
    }
    return [
      ...failed.map(({ number, fault }) => `${world}: data set ${number} was not fitted: ${fault}`),
      ...lines.flatMap(({ source, met }) =>
        Object.entries(met).flatMap(([what, verdict]) =>
          verdict === "missed" && (what !== "coverage" || heldToCoverage)
            ? [`${world}, ${source}: ${what}`]
            : [],
        ),
      ),
      ...(advice?.met === "missed" ? [`${world}: wrong adjusts`] : []),
    ];
  });
}

/** `unclear`: off the target, but by no more than chance may do with so few data sets. */
export type Met = "met" | "missed" | "unclear";

/** What is asked of a source's coverage and bias. */
export const TARGETS = {
  /** A source counts as identified when the data take away at least this share of its prior variance on average: the rule by which a fit says that the data speak. */
  identified: 0.2,
  coverage: 0.95,
  /** An identified source's coverage must lie between these … */
  band: [0.93, 0.97],
  /** … another's at or above this. */
  notIdentified: 0.935,
  /** An identified source's bias, as a share of its standard uncertainty. */
  bias: 0.1,
} as const;

/** One source of one world over all data sets. */
export interface SourceLine {
  readonly world: string;
  readonly source: string;
  readonly angular: boolean;
  readonly identified: boolean;
  /** Mean share of the prior variance that the data took away, and of the data sets whose fit says that the prior speaks. */
  readonly learned: number;
  readonly priorSpeaks: number;
  /** Mean error over the mean standard uncertainty, and the standard error of that. */
  readonly bias: number;
  readonly biasError: number;
  /** Share of the 95 % intervals that hold the truth, with bounds that hold for all lines together. */
  readonly coverage: number;
  readonly bounds: readonly [number, number];
  /** Mean width of the intervals, rad or mm. */
  readonly width: number;
  readonly met: { readonly coverage: Met; readonly bias: Met | null; readonly priorSpeaks: Met | null };
}

export interface LineOptions {
  readonly world: string;
  readonly source: string;
  readonly angular: boolean;
  /** Confidence of this line's bounds. */
  readonly confidence: number;
}

export function sourceLine(tried: readonly SourceTried[], options: LineOptions): SourceLine {
  const { confidence, ...names } = options;
  const mean = (of: (one: SourceTried) => number): number =>
    tried.reduce((sum, one) => sum + of(one), 0) / tried.length;
  const learned = mean((one) => one.learned);
  const identified = learned >= TARGETS.identified;
  const hits = tried.filter(({ truth, interval: [low, high] }) => low <= truth && truth <= high).length;
  const bounds = binomialBounds(hits, tried.length, confidence);
  const u = mean((one) => one.standardUncertainty);
  const off = mean((one) => one.estimate - one.truth);
  const variance = mean((one) => (one.estimate - one.truth - off) ** 2);
  const [bias, biasError] = [off / u, Math.sqrt(variance / tried.length) / u];
  const priorSpeaks = mean((one) => (one.fromData ? 0 : 1));
  return {
    ...{ ...names, identified, learned, priorSpeaks, bias, biasError, bounds },
    coverage: hits / tried.length,
    width: mean(({ interval: [low, high] }) => high - low),
    met: {
      coverage: coverageMet(hits / tried.length, bounds, identified),
      bias: identified ? biasMet(Math.abs(bias), biasError) : null,
      priorSpeaks: identified ? null : priorSpeaks > 0.5 ? "met" : "missed",
    },
  };
}

function coverageMet(coverage: number, [low, high]: readonly [number, number], identified: boolean): Met {
  const [least, most] = identified ? TARGETS.band : [TARGETS.notIdentified, 1];
  const consistent = !identified || (low <= TARGETS.coverage && TARGETS.coverage <= high);
  if (consistent && coverage >= least && coverage <= most) return "met";
  return consistent && low <= most && high >= least ? "unclear" : "missed";
}

/** Beyond the target by more than three standard errors is no chance. */
const SURELY = 3;

const biasMet = (bias: number, error: number): Met =>
  bias < TARGETS.bias ? "met" : bias - SURELY * error > TARGETS.bias ? "missed" : "unclear";

/** Most wrong moves where no true move is worth its cost. */
export const MOST_WRONG = 0.05;

/** How the advice of one world did. */
export interface AdviceLine {
  readonly world: string;
  /** Data sets whose advice was judged, and how many of them it moved anything in. */
  readonly asked: number;
  readonly adjusted: number;
  /** Of those, after which the true loss with the cost of adjusting was higher than before. */
  readonly wrong: number;
  /** Mean true loss before, and after with its cost, in scrapped pieces over the batch. */
  readonly before: number;
  readonly after: number;
  /** The same as the fits expected them. */
  readonly expectedBefore: number;
  readonly expectedAfter: number;
  /** Adjusters of which no setting was truly worth its cost, and how many of them the advice moved, with 95 % bounds of the share. */
  readonly notWorth: number;
  readonly movedInVain: number;
  readonly bounds: readonly [number, number];
  /** Adjusters of all data sets told to measure first. */
  readonly measureFirst: number;
  readonly adjusters: number;
  readonly met: Met;
}

export function adviceLine(world: string, all: readonly JudgedAdvice[], cost: number): AdviceLine {
  const moved = all.filter(({ adjusted }) => adjusted);
  const adjusters = all.flatMap((one) => one.adjusters);
  const vain = adjusters.filter(({ worth }) => worth <= cost);
  const movedInVain = vain.filter(({ adjusted }) => adjusted).length;
  const bounds = binomialBounds(movedInVain, vain.length, CONFIDENCE);
  const mean = (of: (one: JudgedAdvice) => number): number =>
    all.reduce((sum, one) => sum + of(one), 0) / all.length;
  return {
    ...{ world, asked: all.length, adjusted: moved.length, bounds, movedInVain },
    wrong: moved.filter(({ before, after }) => after > before).length,
    before: mean(({ before }) => before),
    after: mean(({ after }) => after),
    expectedBefore: mean((one) => one.expectedBefore),
    expectedAfter: mean((one) => one.expectedAfter),
    notWorth: vain.length,
    measureFirst: adjusters.filter(({ measureFirst }) => measureFirst).length,
    adjusters: adjusters.length,
    met: movedInVain < MOST_WRONG * vain.length ? "met" : bounds[0] > MOST_WRONG ? "missed" : "unclear",
  };
}

/** The advice drawn from one data set, against the true sources. Losses are in scrapped pieces over the job's batch. */
export interface JudgedAdvice {
  /** Whether the advice moves anything. */
  readonly adjusted: boolean;
  /** True expected loss as the shop stands, and with the advised moves made, the cost of making them included. */
  readonly before: number;
  readonly after: number;
  /** The same two as the fit expects them. */
  readonly expectedBefore: number;
  readonly expectedAfter: number;
  readonly adjusters: readonly JudgedMove[];
}

export interface JudgedMove {
  readonly adjusted: boolean;
  readonly measureFirst: boolean;
  /** What the best of all settings of this adjuster would truly save against leaving it alone, the others as advised; before its cost. */
  readonly worth: number;
}

export interface JudgeOptions {
  readonly seed: number;
  /** Cells that the true losses are taken over; default {@link TRUE_CELLS}. */
  readonly cells?: number;
}

export const TRUE_CELLS = 400;

/**
 * Asks for advice and looks at what it would do in the true shop: cells drawn at the true sources, the same before and after, with the cuts' scatter and that
 * of re-setting.
 */
export function judgeAdvice(
  job: Job,
  fit: SourceFit,
  truth: Float64Array,
  { seed, cells = TRUE_CELLS }: JudgeOptions,
): JudgedAdvice {
  const specimen = cellSpecimen(job);
  const { advice } = decideMoves(job, fit, specimen, { seed });
  const { estimates, covariance, sample } = fit;
  const believed = drawCells(job, specimen, {
    estimates,
    covariance,
    sample,
    draws: cells,
    seed: seed + 2,
  });
  const known = { estimates: truth, covariance: new Float64Array(truth.length ** 2) };
  const forecast = drawCells(job, specimen, { ...known, draws: cells, seed: seed + 1 });
  const adjusters = adjustersOf(job, fit.sources);
  const lossIn = (cells: DrawnCells, choice: readonly Setting[]): number =>
    meanOf(cellLosses(outcomesOf(cells, movesOf(truth.length, adjusters, choice)), job));
  const lossOf = (choice: readonly Setting[]): number => lossIn(forecast, choice);
  const advised = advice.map(({ setting }) => setting);
  const moved = advised.filter(({ change }) => change !== 0).length;
  const still = adjusters.map(() => NO_MOVE);
  return {
    adjusted: moved > 0,
    before: lossOf(still),
    after: lossOf(advised) + moved * job.costs.adjusting,
    expectedBefore: lossIn(believed, still),
    expectedAfter: lossIn(believed, advised) + moved * job.costs.adjusting,
    adjusters: adjusters.map(({ settings }, k) => {
      const losses = settings.map((setting) => lossOf(advised.with(k, setting)));
      return {
        adjusted: advised[k]!.change !== 0,
        measureFirst: advice[k]!.verdict === "measure first",
        worth: lossOf(advised.with(k, NO_MOVE)) - Math.min(...losses),
      };
    }),
  };
}

/**
 * Exact bounds of a probability of which `hits` of `count` were seen (C. J. Clopper and E. S. Pearson, Biometrika 26, 1934), with the stated confidence in (0, 1).
 * The lower is where hits or more have the chance (1 − confidence)/2, the upper where hits or fewer do.
 */
export function binomialBounds(hits: number, count: number, confidence: number): [number, number] {
  const tail = (1 - confidence) / 2;
  // P(X ≥ k) = I_p(k, n − k + 1).
  const low = hits === 0 ? 0 : rootOf((p) => incompleteBeta(p, hits, count - hits + 1).lower - tail);
  const high = hits === count ? 1 : rootOf((p) => tail - incompleteBeta(p, hits + 1, count - hits).upper);
  return [low, high];
}

/** Confidence of each of `lines` bounds that all hold together with `confidence`, were they independent (Z. Šidák, JASA 62, 1967). */
export const simultaneous = (confidence: number, lines: number): number => confidence ** (1 / lines);

/** Root in [0, 1] of a rising function. */
function rootOf(rising: (p: number) => number): number {
  let [low, high] = [0, 1];
  while (high - low > 1e-12) {
    const middle = (low + high) / 2;
    if (rising(middle) < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
