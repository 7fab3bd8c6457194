import type { RandomStream } from "../numeric/random-stream.js";
import { refuse } from "../numeric/refuse.js";
import { type Interval, shortestInterval, symmetricInterval } from "./coverage-interval.js";
import type { InputSampler } from "./draw-inputs.js";
import type { Model } from "./inputs.js";
import { typeA } from "./type-a.js";

/** What a set of output values says; `standardErrors` of a set of blocks has the same shape. */
export interface OutputSummary {
  /** Mean, standard deviation and the ends of both coverage intervals, all in the output's unit. */
  readonly estimate: number;
  readonly standardUncertainty: number;
  readonly symmetric: Interval;
  readonly shortest: Interval;
}

/** Mean, standard deviation and both coverage intervals of output values; sorts them in place. */
export function summarise(values: Float64Array, coverageProbability: number): OutputSummary {
  const { mean, standardDeviation } = typeA(values);
  values.sort();
  return {
    estimate: mean,
    standardUncertainty: standardDeviation,
    symmetric: symmetricInterval(values, coverageProbability),
    shortest: shortestInterval(values, coverageProbability),
  };
}

/** Size of a block of trials: the larger of 10⁴ and 100/(1 − p) (JCGM 101:2008, 7.9.4 b). */
export const blockSize = (coverageProbability: number): number =>
  Math.max(10_000, Math.ceil(100 / (1 - coverageProbability) - 1e-9));

/** Evaluates the model `count` times on fresh draws. */
export function runTrials(
  model: Model,
  sampler: InputSampler,
  stream: RandomStream,
  inputs: number,
  count: number,
): Float64Array {
  const x = new Float64Array(inputs);
  const values = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    sampler(stream, x);
    const y = model(x);
    if (!Number.isFinite(y))
      refuse(
        "the model gave no number in a trial",
        "its value must be finite",
        y,
        `trial with inputs ${x.join(", ")}`,
      );
    values[k] = y;
  }
  return values;
}

/** Standard errors of all summary values, from their scatter over blocks (JCGM 101:2008, 7.9.4 f–h). */
export function blockErrors(blocks: readonly OutputSummary[]): OutputSummary {
  const error = (pick: (block: OutputSummary) => number): number =>
    typeA(blocks.map(pick)).standardUncertainty;
  return {
    estimate: error((b) => b.estimate),
    standardUncertainty: error((b) => b.standardUncertainty),
    symmetric: [error((b) => b.symmetric[0]), error((b) => b.symmetric[1])],
    shortest: [error((b) => b.shortest[0]), error((b) => b.shortest[1])],
  };
}
