import { resolve } from "node:path";
import { createStream, type RandomStream } from "../../../src/core/numeric/random-stream.js";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import type { BlockWork } from "../../../src/core/threads/pool-thread.js";
import { WorkerPool } from "../../../src/core/threads/worker-pool.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrialPlan } from "../../../src/io/trials/load-trials.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Reading } from "../../../src/model/readings.js";
import { priorMeans } from "../../../src/model/sources.js";
import { type JudgedAdvice, judgeAdvice } from "./study-figures.js";

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
    { start: worldWork, module: new URL(import.meta.url), task: { world, seed, advised } },
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

/** Which data sets of which world a thread works on. */
interface WorldTask {
  readonly world: WorldName;
  readonly seed: number;
  readonly advised: number;
}

/** A data set done, or the reason why it could not be. */
interface DataSet {
  readonly tried: Tried | null;
  readonly fault: string;
}

/** The data sets of one world, for a worker pool. */
export function worldWork({ world: name, seed, advised }: WorldTask): BlockWork<DataSet, null> {
  const world = loadWorld(name);
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
}

/** Kinds of draws of one data set; each has its own seed, so that none shifts another's numbers. */
const DRAWS = { truth: 0, readings: 1, mistakes: 2, advice: 3 } as const;
const KINDS = 4;

const seedOf = (seed: number, kind: keyof typeof DRAWS): number => KINDS * seed + DRAWS[kind];

/** Draws true values from the job's priors, simulates the planned readings, fits them, and on request asks for advice. Data set `number` takes that sub-stream of the seed. */
export function tryOne(world: World, number: number, seed: number, withAdvice: boolean): Tried {
  const { job, plan } = world;
  const sources = jobSources(job);
  const normals = createStream(seedOf(seed, "truth"), number).fill(new Float64Array(sources.length));
  const truth = priorMeans(sources).map((mean, i) => mean + sources[i]!.priorSd * normals[i]!);
  const honest = simulateTrials(job, plan, { truth, seed: seedOf(seed, "readings"), substream: number });
  const fit = fitSources(job, spoil(world, honest, seed, number), { alsoWithoutPriors: false });
  return {
    sources: fit.sources.map((source, i) => ({
      truth: truth[i]!,
      estimate: source.estimate,
      standardUncertainty: source.standardUncertainty,
      interval: source.interval,
      learned: source.learned,
      fromData: source.fromData,
    })),
    advice: withAdvice
      ? judgeAdvice(job, fit, truth, { seed: KINDS * number + seedOf(seed, "advice") })
      : null,
    closed: honest.filter(({ low }) => low === Number.NEGATIVE_INFINITY).length,
    readings: honest.length,
  };
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
}

const WORLDS = resolve(PACKAGE_ROOT, "data/worlds");

/** The four worlds, and the negative control: the coarse feeler's closed joints written down as gaps of exactly zero. */
export const WORLD_NAMES = [
  "many-precise",
  "coarse-feeler",
  "two-rounds",
  "one-in-ten-wrong",
  "control",
] as const;
export type WorldName = (typeof WORLD_NAMES)[number];

/** @throws JobError when the world's folder is not as it should be */
export function loadWorld(name: WorldName): World {
  const control = name === "control";
  const folder = resolve(WORLDS, control ? "coarse-feeler" : name);
  const job = loadJob(folder);
  return {
    ...{ name, job, control },
    plan: loadTrialPlan(`${folder}/plan.csv`, job),
    spoilt: control ? "closed as zero" : job.mistakes > 0 ? "gross mistakes" : "not",
    heldToCoverage: job.mistakes === 0,
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
