import { at } from "../../../src/core/numeric/dense.js";
import { createStream, type RandomStream } from "../../../src/core/numeric/random-stream.js";
import { type Explanation, explainCells } from "../../../src/features/explain/explain-cells.js";
import { cellPlan } from "../../../src/features/explain/seen-by-eye.js";
import { STORY_PRIOR } from "../../../src/features/explain/stories.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import type { Job } from "../../../src/model/job/job.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import type { Instrument, Reading } from "../../../src/model/readings.js";
import { sameSource } from "../../../src/model/source-id.js";
import type { Statement } from "./study-figures.js";

/** What was said of one simulated shop with several errors and mixed readings. */
export interface ShopStudied {
  readonly sources: readonly {
    /** rad or mm. */
    readonly truth: number;
    /** Side of zero on which the 95 % interval of the calibration lies, 0 for neither; and what the explanation says. */
    readonly calibrated: number;
    readonly explained: number;
    /** Whether the interval holds the truth. */
    readonly inside: boolean;
    /** Chance said that it is off by more than matters, and whether it is. */
    readonly chance: number;
    readonly beyond: boolean;
  }[];
  /** Of each joint: how far what the causes add differs from the gap expected, mm. */
  readonly remainders: readonly number[];
}

/** What was said of one simulated shop of which only a cell was read: each story with its chance, the likeliest first. */
export interface StoryStudied {
  readonly stories: readonly Statement[];
}

export interface StudyOptions {
  readonly seed: number;
  /** Name of the instrument that reads every joint of the cell. */
  readonly instrument: string;
  readonly onProgress?: (done: number) => void;
}

/** Of the readings of trial pieces each is taken in this share of the shops. */
const TAKEN = 0.3;

/** Simulated shops whose sources are drawn from the job's prior; one cell is read at every joint, and a part of a plan of trial pieces that differs from shop to shop. */
export function studyShops(
  job: Job,
  plan: readonly Reading[],
  count: number,
  options: StudyOptions,
): ShopStudied[] {
  const stream = createStream(options.seed);
  return Array.from({ length: count }, (_, shop): ShopStudied => {
    const truth = Float64Array.from(
      jobSources(job),
      ({ priorMean = 0, priorSd }) => priorMean + priorSd * stream.normal(),
    );
    const share = stream.uniform() * 2 * TAKEN;
    const trials = new Set(plan.filter(({ bench }) => bench !== "cell").map(({ trial }) => trial));
    const taken = new Set([...trials].filter(() => stream.uniform() < share));
    const own = [
      ...cellOf(job, options),
      ...plan.filter(({ trial, bench }) => bench !== "cell" && taken.has(trial)),
    ];
    const readings = simulateTrials(job, own, { truth, seed: seedOf(stream) });
    const explanation = explainCells(job, readings, { seed: shop + 1 });
    options.onProgress?.(shop + 1);
    return judged(explanation, truth);
  });
}

function judged({ posterior, sources, cells }: Explanation, truth: Float64Array): ShopStudied {
  return {
    sources: sources.map(({ id, sign, chance, matters }) => {
      const s = posterior.sources.findIndex((source) => sameSource(source.id, id));
      const [low, high] = posterior.fit?.sources[s]?.interval ?? [0, 0];
      const x = at(truth, s);
      return {
        truth: x,
        explained: sign,
        chance: chance.value,
        inside: x >= low && x <= high,
        calibrated: low > 0 ? 1 : high < 0 ? -1 : 0,
        beyond: x > matters.above || x < -matters.below,
      };
    }),
    remainders: cells.flatMap(({ joints }) =>
      joints.map(({ gap, asDrawn, contributions }) =>
        Math.abs(contributions.reduce((sum, { mean }) => sum + mean, asDrawn) - gap.mean),
      ),
    ),
  };
}

/** Simulated shops drawn from the prior of the stories; of each one cell is read at every joint, and nothing else. */
export function studyStories(job: Job, count: number, options: StudyOptions): StoryStudied[] {
  const stream = createStream(options.seed, 1);
  const sources = jobSources(job);
  const found: StoryStudied[] = [];
  for (let shop = 1; found.length < count; shop++) {
    const off = sources.map(() => stream.uniform() < STORY_PRIOR.off);
    const truth = Float64Array.from(
      sources,
      ({ priorSd }, s) => priorSd * (off[s] ? 1 : STORY_PRIOR.nearlyRight) * stream.normal(),
    );
    const readings = simulateTrials(job, cellOf(job, options), { truth, seed: seedOf(stream) });
    const { stories } = explainCells(job, readings, { seed: shop });
    // Where a source's sign is known no stories are told.
    if (stories === null) continue;
    const wanted = off.filter(Boolean).length;
    found.push({
      stories: stories.map(({ causes, chance }) => ({
        probability: chance.value,
        true:
          causes.length === wanted &&
          causes.every(({ id, size }) => {
            const s = sources.findIndex((source) => sameSource(source.id, id));
            return off[s] === true && Math.sign(at(truth, s)) === Math.sign(size);
          }),
      })),
    });
    options.onProgress?.(found.length);
  }
  return found;
}

function cellOf(job: Job, { instrument }: StudyOptions): Reading[] {
  const tool = job.instruments.find(({ name }) => name === instrument) as Instrument;
  return cellPlan(jobCell(job), tool);
}

const seedOf = (stream: RandomStream): number => stream.integer(1_000_000_000);
