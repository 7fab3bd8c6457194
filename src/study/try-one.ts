import { fitSources } from "../calibrate/fit-sources.js";
import { simulateTrials } from "../calibrate/simulate-trials.js";
import { sourcesOf } from "../calibrate/specimen.js";
import { expectedSources } from "../cutting/sources.js";
import { createStream } from "../numeric/random-stream.js";
import type { Reading } from "../readings/reading.js";
import { type JudgedAdvice, judgeAdvice } from "./judge-advice.js";
import { closedAsZero, makeMistakes } from "./spoil-readings.js";
import type { World } from "./worlds.js";

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
  const sources = sourcesOf(job);
  const normals = createStream(seedOf(seed, "truth"), number).fill(new Float64Array(sources.length));
  const truth = expectedSources(sources).map((mean, i) => mean + sources[i]!.trustedTo * normals[i]!);
  const honest = simulateTrials(job, plan, { truth, seed: seedOf(seed, "readings"), substream: number });
  const fit = fitSources(job, spoil(world, honest, seed, number), { besideWithoutPriors: false });
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
