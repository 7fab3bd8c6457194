import { UserError } from "../../core/errors.js";
import { at, entryOf } from "../../core/numeric/dense.js";
import { currentErrors } from "../../inference/current-errors.js";
import { forecastCells } from "../../inference/forecast/forecast-cells.js";
import {
  type ForecastSources,
  forecastSources,
  type SourceGroup,
} from "../../inference/forecast/forecast-sources.js";
import type { Estimated } from "../../inference/forecast/tally-blocks.js";
import { type JobPosterior, jobPosterior, withScatters } from "../../inference/job-posterior.js";
import { type Job, TOLERANCE_GOAL, type ToleranceGoal } from "../../model/job/job.js";
import type { Lean } from "../../model/shop.js";
import { BATCH_THICKNESS, type ScatterId, type SourceId, sourceKey } from "../../model/source-id.js";
import { indexOfSource } from "../../model/sources.js";
import { type CheapestTolerances, cheapestTolerances, type ToleranceProblem } from "./cheapest-tolerances.js";
import { SampledChance } from "./sampled-chance.js";

/** Cells for the search, for setting the chance right, for the curve, and for the proof. */
export const TOLERANCE_CELLS = { search: 4096, setting: 65_536, curve: 2048, proof: 400_000 } as const;
/** Chances of the trade-off. */
export const CURVE = [0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98] as const;

/** One tolerance, as it is and as it should be. */
export interface ToleranceLine {
  readonly id: SourceGroup["id"];
  readonly kind: ToleranceGroup["kind"];
  /** Standard deviations, rad where `angular`, else mm; a grid has an offset and a turn. */
  readonly parts: readonly { readonly angular: boolean; readonly today: number; readonly wanted: number }[];
  /** Factor: wanted over today's. */
  readonly factor: number;
  /** Cost today and as wanted, in the units of the job's costs. */
  readonly costToday: number;
  readonly cost: number;
  /** Whether it stands at the finest or the loosest allowed. */
  readonly bound: "finest" | "loosest" | null;
}

/** What a chance of closing costs at least. */
export interface CurvePoint {
  /** Chance that a cell closes, 0 to 1. */
  readonly chance: number;
  /** Least cost of the tolerances, in the units of the job's costs; `null`: out of reach with the finest ones. */
  readonly cost: number | null;
}

/** How good each source of a job must be, at the least cost. */
export interface JobTolerances {
  readonly job: Job;
  /** What it speaks from. */
  readonly posterior: JobPosterior;
  readonly goal: ToleranceGoal;
  /** Seed of all cells drawn, whole, ≥ 0. */
  readonly seed: number;
  readonly status: CheapestTolerances["status"];
  readonly lines: readonly ToleranceLine[];
  /** Sources that stay as the job states them. */
  readonly fixed: readonly SourceGroup["id"][];
  /** Cost of these tolerances and of today's together, in the unit of the goal's costs. */
  readonly cost: number;
  readonly costToday: number;
  /** Cost of one more cell in a hundred from here, in the same unit. */
  readonly price: number;
  /** Chance that a cell closes with these tolerances, from cells drawn anew; and with exact order, on fewer. */
  readonly proof: Estimated;
  readonly proofExact: Estimated | null;
  /** With today's, and with what is known to be off as it stands. */
  readonly today: Estimated;
  /** Chance that a cell closes with the finest tolerances allowed, 0 to 1: more is not to be had. */
  readonly most: number;
  readonly curve: readonly CurvePoint[];
}

/** How tolerances are worked out. `seed`: whole, ≥ 0, of every draw. */
export interface JobTolerancesOptions {
  /** What is known of the job's sources, as the jigs stand or after moves; default: what the job states, without readings. */
  readonly posterior?: JobPosterior;
  /** Chance wanted, in the place of the job's own. */
  readonly chance?: number;
  readonly seed?: number;
  /** Whether the trade-off is worked out; default true. */
  readonly curve?: boolean;
  /** Cells of each part, in the place of {@link TOLERANCE_CELLS}. */
  readonly cells?: Partial<Record<keyof typeof TOLERANCE_CELLS, number>>;
  readonly onProgress?: (step: string) => void;
}

/**
 * How good each ramp, stop, thickness and lap must be so that cells close with the chance wanted, at the least cost: tolerances worked backwards from the limits of the job.
 * Found on one set of cells in first order, set right on a larger one, and proved on cells drawn anew.
 *
 * @throws UserError (code "tolerances") when the chance is not one, or nothing has a cost.
 * @throws UserError (code "seating") when a cell finds no equilibrium.
 * @example
 * const { status } = await planTolerances(job, { chance: 0.5, curve: false });
 * ["found", "out of reach"].includes(status) // true
 */
export async function planTolerances(
  stated: Job,
  options: JobTolerancesOptions = {},
): Promise<JobTolerances> {
  const { seed = 1, onProgress = () => {} } = options;
  const cells = { ...TOLERANCE_CELLS, ...options.cells };
  const posterior = options.posterior ?? jobPosterior(stated, [], { seed });
  const job = asKnown(stated, posterior);
  const goal = {
    ...(job.toleranceGoal ?? TOLERANCE_GOAL),
    ...(options.chance !== undefined && { chance: options.chance }),
  };
  if (!(goal.chance > 0 && goal.chance < 1))
    throw new UserError(
      "tolerances",
      `The chance wanted is out of range: it must be above 0 and below 1; it is ${goal.chance}.`,
      { key: ["tolerances", "chance"] },
    );
  const asCut: Job = { ...job, lengths: "as-cut" };
  const sources = forecastSources(asCut);
  const { free, fixed } = toleranceGroups(goal, sources);
  if (free.length === 0)
    throw new UserError(
      "tolerances",
      "There is nothing to make finer: a ramp, a stop, the batch's thickness or the grid must have a tolerance; in this job all are 0. Write for example trusted-to: 0.1 mm at a stop.",
      { key: ["set-ups"] },
    );
  const search = new Search(asCut, sources, free, goal, seed);
  const most = search.sampled(cells.search).share(new Float64Array(free.length).fill(goal.finest));
  onProgress(`searching ${free.length} tolerances on ${cells.search} cells`);
  const found = search.cheapest(goal.chance, cells.search);
  const tolerances =
    found.status === "out of reach" ? found.tolerances : search.setRight(found, cells.setting);
  onProgress(`proving them on ${cells.proof} cells drawn anew`);
  const proof = await outcome(withTolerances(asCut, factorsOf(free, tolerances)), cells.proof, seed);
  const today = await outcome({ ...stated, lengths: "as-cut" }, Math.ceil(cells.proof / 4), seed, posterior);
  const curve: CurvePoint[] = [];
  let start = found.tolerances;
  for (const chance of (options.curve ?? true) ? CURVE : []) {
    onProgress(`the trade-off at ${Math.round(100 * chance)} %`);
    const point = search.cheapest(chance, cells.curve, start);
    curve.push({ chance, cost: point.status === "out of reach" ? null : point.cost });
    start = point.tolerances;
  }
  return {
    job,
    posterior,
    goal,
    seed,
    status: found.status,
    fixed,
    curve,
    most,
    price: found.price,
    lines: free.map((one, i) => lineOf(one, at(tolerances, i), goal)),
    cost: free.reduce((sum, { cost }, i) => sum + cost / at(tolerances, i), 0),
    costToday: free.reduce((sum, { cost }) => sum + cost, 0),
    proof: proof.closes,
    proofExact: proof.exact,
    today: today.closes,
  };
}

/**
 * The job with every ramp, stop and the batch as closely known as the readings leave it, and right on average: an error that is known can be set right, and a tolerance is about what is left. Without
 * readings the job as it is.
 */
function asKnown(job: Job, posterior: JobPosterior): Job {
  const { readings, records } = posterior.basis;
  if (readings === 0 && records.length === 0) return job;
  const { sources, mean, covariance } = currentErrors(posterior);
  const about = (id: SourceId, priorSd: number): number => {
    const i = indexOfSource(sources, id);
    return i < 0 ? priorSd : Math.sqrt(entryOf(covariance, i, i, sources.length));
  };
  const { recorded: _recorded, ...alone } = withScatters(job, posterior);
  return {
    ...alone,
    rounds: [],
    jigs: job.jigs.map(({ priorMean: _, lean, ...jig }) => ({
      ...jig,
      priorSd: about({ kind: "ramp", of: jig.name }, jig.priorSd),
      // No shim takes a lean out: it stays where it was found.
      ...(lean && { lean: leanAsKnown(jig.name, lean) }),
    })),
    setUps: job.setUps.map((setUp) => ({
      ...setUp,
      stop: setUp.stop && {
        step: setUp.stop.step,
        priorSd: about({ kind: "stop", of: setUp.name }, setUp.stop.priorSd),
      },
    })),
    batchThickness: about(BATCH_THICKNESS, job.batchThickness),
  };

  function leanAsKnown(of: string, lean: Lean): Lean {
    const i = indexOfSource(sources, { kind: "lean", of });
    if (i < 0) return lean;
    return { ...lean, priorMean: at(mean, i), priorSd: Math.sqrt(entryOf(covariance, i, i, sources.length)) };
  }
}

const factorsOf = (free: readonly ToleranceGroup[], tolerances: Float64Array): ToleranceFactors =>
  new Map(free.map(({ group }, i) => [sourceKey(group.id), at(tolerances, i)]));

function lineOf({ kind, cost, group }: ToleranceGroup, factor: number, goal: ToleranceGoal): ToleranceLine {
  // A group's draws of one kind all have the same spread: a grid has two kinds.
  const parts = [false, true].flatMap((angular) => {
    const one = group.spread.find((spread) => spread.angular === angular);
    return one ? [{ angular, today: one.deviation, wanted: one.deviation * factor }] : [];
  });
  const at = (bound: number): boolean => Math.abs(factor / bound - 1) < NEAR_BOUND;
  return {
    id: group.id,
    kind,
    parts,
    factor,
    costToday: cost,
    cost: cost / factor,
    bound: at(goal.finest) ? "finest" : at(goal.loosest) ? "loosest" : null,
  };
}

const NEAR_BOUND = 0.02;
/** Cells of the proof are drawn from another seed than those of the search. */
const PROOF_SEED = 7919;

async function outcome(
  job: Job,
  trials: number,
  seed: number,
  posterior?: JobPosterior,
): Promise<{ closes: Estimated; exact: Estimated | null }> {
  const { cell, orders } = await forecastCells(job, {
    trials,
    seed: seed + PROOF_SEED,
    budget: false,
    ...(posterior && { posterior }),
  });
  const fails = orders?.fails.exact;
  return {
    closes: cell.closes,
    exact: fails ? { value: 1 - fails.value, low: 1 - fails.high, high: 1 - fails.low } : null,
  };
}

/** The chance sampled on as many cells as asked for, kept; and the search on it. */
class Search {
  readonly #known = new Map<number, SampledChance>();
  readonly #job: Job;
  readonly #sources: ForecastSources;
  readonly #free: readonly ToleranceGroup[];
  readonly #goal: ToleranceGoal;
  readonly #seed: number;

  constructor(
    job: Job,
    sources: ForecastSources,
    free: readonly ToleranceGroup[],
    goal: ToleranceGoal,
    seed: number,
  ) {
    this.#job = job;
    this.#sources = sources;
    this.#free = free;
    this.#goal = goal;
    this.#seed = seed;
  }

  sampled(cells: number): SampledChance {
    const { limits, pressRatio } = this.#job;
    const known =
      this.#known.get(cells) ??
      new SampledChance(
        this.#sources,
        this.#free.map(({ group }) => group.draws),
        { limits, pressRatio, order: "first", cells, seed: this.#seed },
      );
    this.#known.set(cells, known);
    return known;
  }

  /**
   * The cheapest tolerances: the smoothed chance is aimed at so that the counted one comes out as wanted. A search on a quarter of the cells says where to begin and what to aim at.
   */
  cheapest(wanted: number, cells: number, start?: Float64Array): CheapestTolerances {
    const few = Math.floor(cells / 4);
    const begun = start && { start };
    const near = few < LEAST_CELLS ? null : this.#aimed(wanted, this.sampled(few), wanted, begun);
    const { found } = this.#aimed(
      wanted,
      this.sampled(cells),
      near?.aim ?? wanted,
      near ? { start: near.found.tolerances, reach: NEAR_REACH } : begun,
    );
    const finestShare = this.sampled(cells).share(found.tolerances.map(() => this.#goal.finest));
    // What smoothing alone puts out of reach may be counted as reached.
    return found.status === "out of reach" && finestShare > wanted
      ? { ...found, status: "not converged" }
      : found;
  }

  #aimed(
    wanted: number,
    sampled: SampledChance,
    first: number,
    start?: Pick<ToleranceProblem, "start" | "reach">,
  ): { readonly found: CheapestTolerances; readonly aim: number } {
    const { finest, loosest } = this.#goal;
    const common = {
      costs: this.#free.map(({ cost }) => cost),
      finest,
      loosest,
      chanceAt: sampled.at,
      gained: GAINED,
    };
    let aim = first;
    for (let round = 1, from = start; ; round++) {
      const found = cheapestTolerances({ ...common, wanted: aim, ...from });
      const missed = wanted - sampled.share(found.tolerances);
      if (found.status === "out of reach" || Math.abs(missed) < AIMED || round === AIMS)
        return { found, aim };
      aim = Math.min(Math.max(aim + missed, 0.001), 0.999);
      from = { start: found.tolerances, reach: NEAR_REACH };
    }
  }

  /** All tolerances finer or looser by one factor, until the share of a larger set of cells is the one wanted. */
  setRight({ status, tolerances }: CheapestTolerances, cells: number): Float64Array {
    const sampled = this.sampled(cells);
    const { finest, loosest, chance } = this.#goal;
    const furthest = status === "found" ? NEAR_BY : Math.log(loosest / finest);
    const by = (log: number): Float64Array =>
      tolerances.map((s) => Math.min(Math.max(s * Math.exp(log), finest), loosest));
    let [finer, looser] = [-furthest, furthest];
    for (let step = 0; step < SETTINGS; step++) {
      const middle = (finer + looser) / 2;
      if (sampled.share(by(middle)) >= chance) finer = middle;
      else looser = middle;
    }
    return by(finer);
  }
}

/** Most times that the aim is set anew, and how near the counted chance must come. */
const AIMS = 3;
const AIMED = 2.5e-3;
const SETTINGS = 9;
/** A search on fewer cells would not say where to begin. */
const LEAST_CELLS = 512;
/** First bound of a search that begins near its end. */
const NEAR_REACH = 0.175;
/** The cost on a few thousand cells is not known better than this. */
const GAINED = 1e-3;
/** How far the factor that sets the chance right is looked for, as a logarithm, where the search converged. */
const NEAR_BY = 0.5;

/** A tolerance that may be made finer or looser. */
export interface ToleranceGroup {
  readonly kind: keyof ToleranceGoal["costs"];
  /** Cost at today's tolerance. */
  readonly cost: number;
  readonly group: SourceGroup;
}

/** Every tolerance of a job that has a cost, and the sources that stay as they are. */
export function toleranceGroups(
  { costs }: ToleranceGoal,
  { groups }: ForecastSources,
): { free: ToleranceGroup[]; fixed: SourceGroup["id"][] } {
  const free: ToleranceGroup[] = [];
  const fixed: SourceGroup["id"][] = [];
  for (const group of groups) {
    const kind = kindOf(group.id);
    const cost = kind && costs[kind];
    if (kind === null || cost === null) fixed.push(group.id);
    else free.push({ kind, cost: cost!, group });
  }
  return { free, fixed };
}

/** What a source is priced as; `null` where no tolerance of it can be bought. */
function kindOf(id: SourceGroup["id"]): keyof ToleranceGoal["costs"] | null {
  if (id.kind === "scatter") return id.of === "wall" ? "grid" : id.of === "lean" ? null : "cuts";
  if (id.kind === "thickness") return "thickness";
  if (id.round !== undefined) return null;
  return id.kind === "ramp" ? "ramps" : id.kind === "stop" ? "stops" : null;
}

/** What tolerances are multiplied by, by `sourceKey`; what is not named stays as it is. */
export type ToleranceFactors = ReadonlyMap<string, number>;

/** The job with its tolerances multiplied. */
export function withTolerances(job: Job, factors: ToleranceFactors): Job {
  const factor = (id: SourceGroup["id"]): number => factors.get(sourceKey(id)) ?? 1;
  const scatterFactor = (of: ScatterId["of"]): number => factor({ kind: "scatter", of });
  const { betweenCutSd, grid } = job;
  return {
    ...job,
    jigs: job.jigs.map((jig) => ({ ...jig, priorSd: jig.priorSd * factor({ kind: "ramp", of: jig.name }) })),
    setUps: job.setUps.map((setUp) => ({
      ...setUp,
      stop: setUp.stop && {
        ...setUp.stop,
        priorSd: setUp.stop.priorSd * factor({ kind: "stop", of: setUp.name }),
      },
    })),
    batchThickness: job.batchThickness * factor(BATCH_THICKNESS),
    grid: { offset: grid.offset * scatterFactor("wall"), turn: grid.turn * scatterFactor("wall") },
    betweenCutSd: {
      ...betweenCutSd,
      angle: betweenCutSd.angle * scatterFactor("angle"),
      length: betweenCutSd.length * scatterFactor("length"),
      thickness: betweenCutSd.thickness * scatterFactor("thickness"),
    },
  };
}
