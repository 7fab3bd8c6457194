import { resolve } from "node:path";
import { createStream, type RandomStream } from "../../../src/core/numeric/random-stream.js";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import type { BlockWork } from "../../../src/core/threads/pool-thread.js";
import { WorkerPool } from "../../../src/core/threads/worker-pool.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { JobCells } from "../../../src/inference/likelihood/read-specimen.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import type { MisfitKind } from "../../../src/inference/misfit/departure.js";
import { widened } from "../../../src/inference/misfit/judge-readings.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrialPlan } from "../../../src/io/trials/load-trials.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Reading } from "../../../src/model/readings.js";
import { priorMeans } from "../../../src/model/sources.js";
import { DEPARTURES, type DepartureName, simulateDeparture } from "./departing-shop.js";
import { type JudgedAdvice, judgeAdvice } from "./judge-advice.js";
import type { SecondJob } from "./second-job.js";

export interface TryOptions {
  readonly count: number;
  readonly seed: number;
  readonly workers: number;
  /** Advice is judged for so many data sets, the first ones. */
  readonly advised: number;
  /** No data set is begun after so many milliseconds. */
  readonly milliseconds: number;
  readonly onDone?: (done: number) => void;
}

/** All data sets of one world, in their order; those that could not be fitted are counted, not hidden. */
export interface WorldTried {
  readonly tried: readonly Tried[];
  readonly failed: readonly { readonly number: number; readonly fault: string }[];
}

/** Room for short-lived objects, MB: a fit makes many, and sweeping them up less often is a twelfth faster. */
const YOUNG = 192;

/**
 * Worker threads claim data sets as they get to them; each depends on its number alone, so the result is the same for any number of threads.
 * They are claimed in their order and always finished: when the time is up, the result is that of a smaller count.
 */
export async function tryWorld(world: WorldName, options: TryOptions): Promise<WorldTried> {
  const { count, seed, workers, advised, milliseconds, onDone = () => {} } = options;
  const pool = new WorkerPool(
    { ...(await startOf(world)), task: { world, seed, advised } },
    {
      threads: Math.min(workers, count),
      callerWorks: false,
      resourceLimits: { maxYoungGenerationSizeMb: YOUNG },
    },
  );
  const timer = setTimeout(() => pool.stop(), milliseconds);
  try {
    let done = 0;
    await pool.work(count, () => onDone(++done));
  } finally {
    clearTimeout(timer);
    await pool.close();
  }
  if (pool.rows.length === 0) throw new Error(`No data set of ${world} was done in time.`);
  return {
    tried: pool.rows.flatMap(({ tried }) => tried ?? []),
    failed: pool.rows.flatMap(({ tried, fault }, number) => (tried ? [] : [{ number, fault }])),
  };
}

/** A job that starts from a record needs the command that writes one, which takes a while to load. */
async function startOf(world: WorldName): Promise<{ start: typeof worldWork; module: URL }> {
  if (world !== "second-job") return { start: worldWork, module: new URL(import.meta.url) };
  const { secondJobWork } = await import("./second-job.js");
  return { start: secondJobWork, module: new URL("./second-job.js", import.meta.url) };
}

/** Which data sets of which world a thread works on. */
export interface WorldTask {
  readonly world: WorldName;
  readonly seed: number;
  readonly advised: number;
}

/** A data set done, or the reason why it could not be. */
export interface DataSet {
  readonly tried: Tried | null;
  readonly fault: string;
}

/** The data sets of one world, for a worker pool. */
export const worldWork = (task: WorldTask): BlockWork<DataSet, null> => workOn(loadWorld(task.world), task);

export function workOn(world: World, { seed, advised }: WorldTask): BlockWork<DataSet, null> {
  return {
    work(number) {
      try {
        return { tried: tryOne(world, number, seed, number < advised), fault: "" };
      } catch (error) {
        return { tried: null, fault: error instanceof Error ? error.message : String(error) };
      }
    },
    total: () => null,
  };
}

/** What one simulated data set told of one source; rad or mm. */
export interface SourceTried {
  readonly truth: number;
  readonly estimate: number;
  readonly standardUncertainty: number;
  readonly interval: readonly [number, number];
  /** Share of the prior variance that the data took away. */
  readonly learned: number;
  readonly fromData: boolean;
}

export interface Tried {
  readonly sources: readonly SourceTried[];
  /** `null` where no advice was asked for. */
  readonly advice: JudgedAdvice | null;
  readonly closed: number;
  readonly readings: number;
  /** Where shops may depart from the model: how this one does, and what the card says of it. */
  readonly departed: {
    readonly departure: DepartureName;
    readonly noticed: boolean;
    /** The reason named, and the second one where there is one. */
    readonly named: readonly MisfitKind[];
  } | null;
}

/** Kinds of draws of one data set; each has its own seed, so that none shifts another's numbers. */
const DRAWS = { truth: 0, readings: 1, mistakes: 2, advice: 3 } as const;
const KINDS = 4;

const seedOf = (seed: number, kind: keyof typeof DRAWS): number => KINDS * seed + DRAWS[kind];

/** Draws true values from the job's priors, simulates the planned readings, fits them, and on request asks for advice. Data set `number` takes that sub-stream of the seed. */
export function tryOne(world: World, number: number, seed: number, withAdvice: boolean): Tried {
  const { cells, departing, second } = world;
  const drawn = (job: Job, from = 0): Float64Array => {
    const sources = jobSources(job);
    const normals = createStream(seedOf(seed, "truth"), number).fill(new Float64Array(from + sources.length));
    return priorMeans(sources).map((mean, i) => mean + sources[i]!.priorSd * normals[from + i]!);
  };
  const start = second?.start({ number, seed: seedOf(seed, "mistakes"), truthOf: drawn }) ?? null;
  const job = start?.job ?? world.job;
  const stated = start?.truth ?? drawn(job);
  const options = { truth: stated, seed: seedOf(seed, "readings"), substream: number, cells };
  const departure = DEPARTURES[number % DEPARTURES.length]!;
  const departed = departing ? simulateDeparture(job, world.plan, departure, options) : null;
  const honest = departed?.readings ?? simulateTrials(job, world.plan, options);
  const truth = departed?.end ?? stated;
  const fit = fitSources(job, spoil(world, [...honest], seed, number), { alsoWithoutPriors: false, cells });
  const scattered = scatteredJob(job, departed?.scatter ?? 1);
  const advice = withAdvice
    ? judgeAdvice(job, fit, truth, {
        seed: KINDS * number + seedOf(seed, "advice"),
        trueJob: scattered,
        follow: !departing,
        brief: departing,
      })
    : null;
  // As every command has it: wider where a misfit is not explained.
  const { sources } = widened(fit, advice?.verdict?.misfit?.widening ?? 1);
  return {
    sources: sources.map((source, i) => ({
      truth: truth[i]!,
      estimate: source.estimate,
      standardUncertainty: source.standardUncertainty,
      interval: source.interval,
      learned: source.learned,
      fromData: source.fromData,
    })),
    advice,
    closed: honest.filter(({ low }) => low === Number.NEGATIVE_INFINITY).length,
    readings: honest.length,
    departed: departed && {
      departure,
      // Readings that are refused as a whole are noticed, and nothing is named.
      noticed: advice?.verdict?.verdict !== "fits",
      named: namedIn(advice),
    },
  };
}

function namedIn(advice: JudgedAdvice | null): MisfitKind[] {
  const { named = null, runnerUp = null } = advice?.verdict?.misfit ?? {};
  return [named, runnerUp].flatMap((one) => (one ? [one.reason.kind] : []));
}

function scatteredJob(job: Job, by: number): Job {
  const { angle, length, thickness } = job.betweenCutSd;
  return { ...job, betweenCutSd: { angle: by * angle, length: by * length, thickness: by * thickness } };
}

function spoil({ job, spoilt }: World, readings: Reading[], seed: number, number: number): Reading[] {
  if (spoilt === "closed as zero") return closedAsZero(readings);
  if (spoilt === "not") return readings;
  return makeMistakes(readings, job.mistakes, createStream(seedOf(seed, "mistakes"), number));
}

/** A made-up shop whose true errors are known, in which the fit is tried out. */
export interface World {
  readonly name: string;
  readonly job: Job;
  readonly plan: readonly Reading[];
  /** How the readings are spoilt before the fit sees them. */
  readonly spoilt: "not" | "gross mistakes" | "closed as zero";
  /** Whether the coverage of what the data identify is held to 95 % here. */
  readonly heldToCoverage: boolean;
  /** A negative control must fail. */
  readonly control: boolean;
  /** Whether its shops depart from the model, each in one way or none. */
  readonly departing: boolean;
  /** Where the job starts from the record of an earlier one (second-job.ts); else `null`. */
  readonly second: SecondJob | null;
  /** The compiled cells of the job, for all data sets of a thread. */
  readonly cells: JobCells;
}

/** Folder of the worlds. */
export const WORLDS = resolve(PACKAGE_ROOT, "data/worlds");

/** The worlds, and the negative control: the coarse feeler's closed joints written down as gaps of exactly zero. */
export const WORLD_NAMES = [
  "many-precise",
  "coarse-feeler",
  "two-rounds",
  "one-in-ten-wrong",
  "everything-mixed",
  "second-job",
  "departing",
  "control",
] as const;
export type WorldName = (typeof WORLD_NAMES)[number];

/** @throws JobError when the world's folder is not as it should be */
export function loadWorld(name: WorldName): World {
  const control = name === "control";
  const folder = resolve(WORLDS, control ? "coarse-feeler" : name);
  const job = loadJob(folder);
  return {
    name,
    job,
    control,
    plan: loadTrialPlan(`${folder}/plan.csv`, job),
    spoilt: control ? "closed as zero" : job.mistakes > 0 ? "gross mistakes" : "not",
    heldToCoverage: job.mistakes === 0,
    departing: name === "departing",
    second: null,
    cells: new JobCells(),
  };
}

/** A gross mistake is off by this much, either way, evenly: mm, and rad for angles (1° to 5°). */
export const MISTAKE = { length: [0.1, 0.5], angle: [Math.PI / 180, (5 * Math.PI) / 180] } as const;

/** Replaces a share of the readings with values, rounded to whole readings and chosen at random, by gross mistakes as {@link MISTAKE} has them. */
export function makeMistakes(readings: readonly Reading[], share: number, stream: RandomStream): Reading[] {
  const out = [...readings];
  const left = out.flatMap(({ value }, i) => (value === null ? [] : [i]));
  for (let wanted = Math.round(share * left.length); wanted > 0; wanted--) {
    const [place] = left.splice(stream.integer(left.length), 1);
    const { value, what } = out[place!]!;
    const [least, most] = what === "angle" ? MISTAKE.angle : MISTAKE.length;
    const size = least + (most - least) * stream.uniform();
    out[place!] = { ...out[place!]!, value: value! + (stream.uniform() < 0.5 ? -size : size) };
  }
  return out;
}

/** What must not be done: "nothing goes in" written down as a gap of exactly zero. */
export const closedAsZero = (readings: readonly Reading[]): Reading[] =>
  readings.map((reading) =>
    reading.what === "gap" && reading.low === Number.NEGATIVE_INFINITY
      ? { ...reading, value: 0, low: null, high: null }
      : reading,
  );
