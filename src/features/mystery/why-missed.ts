import { fitSources, type SourceEstimate } from "../../inference/estimates/fit-sources.js";
import { simulateTrials } from "../../inference/estimates/simulate-trials.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { type SourceId, sameSource } from "../../model/source-id.js";
import { hiddenFaults, type Mystery, mysteryOf, truthOf } from "./make-mystery.js";
import { mysteryStream } from "./mystery-job.js";

/** Where the distance between an estimate and the truth comes from; rad or mm. The three add up to it. */
export interface MissShares {
  readonly source: SourceId;
  readonly truth: number;
  readonly estimate: number;
  /** What even pieces without scatter and instruments without noise would leave: leaves and steps tell little, and what is trusted before pulls to zero. */
  readonly before: number;
  /** What the pieces that were cut happen to be off by themselves adds. */
  readonly pieces: number;
  /** What the instruments' noise adds. */
  readonly instruments: number;
}

/** So small a scatter is none, and the same numbers are still drawn. */
const NONE = 1e-9;

/**
 * Why estimates miss the truth. The shop is invented, so its readings can be taken again with the same pieces and perfect instruments, and with perfect pieces as well; a fit of each tells
 * what the pieces and what the instruments have added.
 *
 * @param readings those that were marked; in a mystery with a budget only some of all.
 */
export function missShares(
  mystery: Pick<Mystery, "key" | "job">,
  readings: readonly Reading[],
  estimates: readonly SourceEstimate[],
  missed: readonly SourceId[],
): MissShares[] {
  const { key, job } = mystery;
  const truth = truthOf(job, hiddenFaults(key));
  const plan = mysteryOf(key).readings;
  const ids = new Set(readings.map(({ id }) => id));
  const fitOf = (shop: Job): readonly SourceEstimate[] => {
    const taken = simulateTrials(shop, plan, {
      truth,
      seed: key.seed,
      substream: mysteryStream(key, "trials"),
    });
    return fitSources(
      job,
      taken.filter(({ id }) => ids.has(id)),
      { alsoWithoutPriors: false },
    ).sources;
  };
  const samePieces = fitOf(withoutNoise(job));
  const perfect = fitOf(withoutScatter(withoutNoise(job)));
  const of = (all: readonly SourceEstimate[], id: SourceId): number =>
    all.find((one) => sameSource(one.id, id))?.estimate ?? 0;
  return missed.map((source) => {
    const [now, quiet, ideal] = [estimates, samePieces, perfect].map((all) => of(all, source));
    const [estimate = 0, same = 0, least = 0] = [now, quiet, ideal];
    const size = hiddenFaults(key).find((fault) => sameSource(fault.source, source))?.size ?? 0;
    return {
      source,
      truth: size,
      estimate,
      before: least - size,
      pieces: same - least,
      instruments: estimate - same,
    };
  });
}

const withoutNoise = (job: Job): Job => ({
  ...job,
  instruments: job.instruments.map((instrument) => ({ ...instrument, repeatability: 0 })),
});

function withoutScatter(job: Job): Job {
  const { angle, length, thickness } = job.betweenCutSd;
  return {
    ...job,
    betweenCutSd: { angle: NONE * angle, length: NONE * length, thickness: NONE * thickness },
    grid: { offset: NONE * job.grid.offset, turn: NONE * job.grid.turn },
  };
}
