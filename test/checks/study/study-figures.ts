import { incompleteBeta } from "../../../src/core/numeric/special-functions.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { sourceText } from "../../../src/render/source-text.js";
import { DEPARTURES, type DepartureName } from "./departing-shop.js";
import type { JudgedAdvice } from "./judge-advice.js";
import type { SourceTried, Tried, World, WorldTried } from "./try-world.js";

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
  /** Where shops depart from the model: what was noticed and named. */
  readonly departures: DepartureFigures | null;
}

const CONFIDENCE = 0.95;

/** Figures of all worlds; the bounds of the coverage hold for all sources of all worlds but the control together. */
export function studyFigures(worlds: readonly { world: World; done: WorldTried }[]): WorldFigures[] {
  const lines = worlds
    .filter(({ world }) => !world.control && !world.departing)
    .reduce((sum, { world }) => sum + jobSources(world.job).length, 0);
  const confidence = simultaneous(CONFIDENCE, Math.max(lines, 1));
  return worlds.map(({ world, done: { tried, failed } }) => {
    const readings = tried.reduce((sum, one) => sum + one.readings, 0);
    const judged = world.departing ? [] : tried.flatMap(({ advice }) => advice ?? []);
    return {
      world: world.name,
      title: world.job.title,
      dataSets: tried.length,
      failed,
      heldToCoverage: world.heldToCoverage,
      closed: tried.reduce((sum, one) => sum + one.closed, 0) / readings,
      lines: world.departing
        ? []
        : jobSources(world.job).map(({ id, angular }, i) =>
            sourceLine(
              tried.map(({ sources }) => sources[i]!),
              { world: world.name, source: sourceText(id), angular, confidence },
            ),
          ),
      advice: judged.length > 0 ? adviceLine(world.name, judged, world.job.costs.adjusting) : null,
      departures: world.departing ? departureFigures(tried) : null,
    };
  });
}

/** Targets missed, in words; empty when all are met. A control whose coverage holds is a miss. */
export function missesOf(figures: readonly WorldFigures[]): string[] {
  return figures.flatMap(({ world, heldToCoverage, lines, advice, departures, failed }) => {
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
      ...(departures?.targets ?? []).flatMap(({ what, met }) =>
        met === "missed" ? [`${world}: ${what}`] : [],
      ),
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
    ...names,
    identified,
    learned,
    priorSpeaks,
    bias,
    biasError,
    bounds,
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
  /** Data sets in which no move was ordered at all. */
  readonly held: number;
  /** Adjusters of all data sets told to measure first. */
  readonly measureFirst: number;
  readonly adjusters: number;
  /** Data sets whose card names a reading that is worth more than it costs; what became of them without it and with it. `null` where there were none. */
  readonly followed: FollowedLine | null;
  readonly met: Met;
}

/** What the reading that the card asks for first brings, in the data sets where it asks for one. */
export interface FollowedLine {
  readonly asked: number;
  /** For how many of the readings an instrument has to be borrowed. */
  readonly borrowed: number;
  /** Mean true loss as the shop stands, with the moves that do not wait for the reading, and with the moves after it, the costs of moves and reading included. */
  readonly before: number;
  readonly without: number;
  readonly after: number;
  /** Data sets in which the true loss was higher than before: without the reading, and after it with its cost. */
  readonly wrongWithout: number;
  readonly wrongAfter: number;
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
    world,
    asked: all.length,
    adjusted: moved.length,
    bounds,
    movedInVain,
    followed: followedLine(all),
    held: all.filter(({ held }) => held).length,
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

function followedLine(all: readonly JudgedAdvice[]): FollowedLine | null {
  const followed = all.flatMap(({ before, after, followed: one }) =>
    one ? [{ before, without: after, ...one }] : [],
  );
  if (followed.length === 0) return null;
  const mean = (of: (one: (typeof followed)[number]) => number): number =>
    followed.reduce((sum, one) => sum + of(one), 0) / followed.length;
  return {
    asked: followed.length,
    borrowed: followed.filter(({ borrowed }) => borrowed).length,
    before: mean(({ before }) => before),
    without: mean(({ without }) => without),
    after: mean(({ after }) => after),
    wrongWithout: followed.filter(({ before, without }) => without > before).length,
    wrongAfter: followed.filter(({ before, after }) => after > before).length,
  };
}

/** What is asked of a fit where the shop departs from the model. */
export const DEPARTURE_TARGETS = { noticed: 0.9, named: 0.7, falseAlarms: 0.05, harm: 0.05 } as const;

/** One way to depart from the model, or none. */
export interface DepartureLine {
  readonly departure: DepartureName;
  readonly dataSets: number;
  /** The fit is doubtful or does not fit; and of these, no move is ordered. */
  readonly noticed: number;
  readonly held: number;
  /** The reason named first is the true one; the true one is named first or second. */
  readonly named: number;
  readonly namedOrSecond: number;
  /** Moves were ordered; and the true loss was higher after them, their cost included. */
  readonly adjusted: number;
  readonly harmed: number;
  /** Share of the 95 % intervals that hold the truth at the end of the batch. */
  readonly coverage: number;
}

/** All ways together, against the targets. */
export interface DepartureFigures {
  readonly lines: readonly DepartureLine[];
  readonly targets: readonly {
    readonly what: string;
    readonly share: number;
    readonly bounds: readonly [number, number];
    readonly target: number;
    readonly met: Met;
  }[];
}

export function departureFigures(tried: readonly Tried[]): DepartureFigures {
  const lines = DEPARTURES.flatMap((departure): DepartureLine[] => {
    const own = tried.flatMap(({ departed, sources, advice }) =>
      departed?.departure === departure && advice ? [{ ...departed, sources, advice }] : [],
    );
    if (own.length === 0) return [];
    const count = (of: (one: (typeof own)[number]) => boolean): number => own.filter(of).length;
    const intervals = own.flatMap(({ sources }) => sources);
    return [
      {
        departure,
        dataSets: own.length,
        noticed: count(({ noticed }) => noticed),
        held: count(({ advice }) => advice.held),
        named: count(({ named }) => named[0] === departure),
        namedOrSecond: count(({ named }) => named.some((kind) => kind === departure)),
        adjusted: count(({ advice }) => advice.adjusted),
        harmed: count(({ advice: { adjusted, before, after } }) => adjusted && after > before),
        coverage:
          intervals.filter(({ truth, interval: [low, high] }) => low <= truth && truth <= high).length /
          intervals.length,
      },
    ];
  });
  const departing = lines.filter(({ departure }) => departure !== "none");
  const sound = lines.filter(({ departure }) => departure === "none");
  const target = (
    what: string,
    own: readonly DepartureLine[],
    of: "noticed" | "named" | "harmed",
    goal: number,
    least: boolean,
  ) => {
    const [hits, count] = [
      own.reduce((sum, line) => sum + line[of], 0),
      own.reduce((sum, { dataSets }) => sum + dataSets, 0),
    ];
    if (count === 0) return [];
    const bounds = binomialBounds(hits, count, CONFIDENCE);
    const [share, surely] = [hits / count, least ? bounds[1] < goal : bounds[0] > goal];
    const met: Met = (least ? share >= goal : share <= goal) ? "met" : surely ? "missed" : "unclear";
    return [{ what, share, bounds, target: goal, met }];
  };
  const { noticed, named, falseAlarms, harm } = DEPARTURE_TARGETS;
  return {
    lines,
    targets: [
      ...target("departures noticed", departing, "noticed", noticed, true),
      ...target("departures named rightly", departing, "named", named, true),
      ...target("false alarms", sound, "noticed", falseAlarms, false),
      ...target("plans that do harm", departing, "harmed", harm, false),
    ],
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
