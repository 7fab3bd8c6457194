import { at } from "../../core/numeric/dense.js";
import type { Proposals, WeightFactor } from "../../core/numeric/elliptical-slice.js";
import type { Job } from "../../model/job/job.js";
import type { Source } from "../../model/sources.js";
import type { SeatingKernel } from "../../physics/kernel/seating-kernel.js";
import type { ReadingLikelihood } from "../likelihood/reading-likelihood.js";
import { NO_BIAS, type Part, type ReadingBlock } from "../likelihood/trial-blocks.js";

/** A reading that is linear in what is drawn: μ is `centre` plus the number at `place` of a point. */
export interface LinearReadingAt {
  readonly place: number;
  readonly centre: number;
  readonly likelihood: ReadingLikelihood;
}

// The factors are evaluated at every proposal of the sampler, so their loops read entries unchecked.

/** Likelihood of a trial's readings that are linear but not normal: intervals, and values that may be gross mistakes. */
export function linearFactor(readings: readonly LinearReadingAt[]): WeightFactor {
  const add = sumOfLogs(readings.map(({ likelihood }) => likelihood));
  const mu = new Float64Array(readings.length);
  return {
    logBound: mostOf(readings),
    add(proposals, out) {
      for (let t = 0; t < proposals.count; t++) {
        for (let i = 0; i < readings.length; i++)
          mu[i] = readings[i]!.centre + numberAt(proposals, t, readings[i]!.place);
        out[t]! += add(mu);
      }
    },
  };
}

const mostOf = (readings: readonly { readonly likelihood: ReadingLikelihood }[]): number =>
  readings.reduce((sum, { likelihood }) => sum + likelihood.largest, 0);

/** Number of likelihoods multiplied before a logarithm is taken; each is bounded below, so their product does not underflow. */
const FACTORS_A_LOG = 16;

/** The sum of readings' log likelihoods at their predictions. */
function sumOfLogs(readings: readonly ReadingLikelihood[]): (mu: Float64Array) => number {
  const logs = readings.map(({ at }) => at);
  const plain = readings.flatMap(({ likelihood }) => likelihood ?? []);
  if (plain.length < logs.length) {
    return (mu) => {
      let sum = 0;
      for (let i = 0; i < logs.length; i++) sum += logs[i]!(mu[i]!);
      return sum;
    };
  }
  return (mu) => {
    let [sum, product] = [0, 1];
    for (let i = 0; i < plain.length; i++) {
      product *= plain[i]!(mu[i]!);
      if (i % FACTORS_A_LOG === FACTORS_A_LOG - 1) [sum, product] = [sum + Math.log(product), 1];
    }
    return sum + Math.log(product);
  };
}

function numberAt({ at, cos, sin, points, others }: Proposals, t: number, place: number): number {
  const from = at[t]! + place;
  return cos[t]! * points[from]! + sin[t]! * others[from]!;
}

/** A gap's likelihood, and its index among the readings of its part. */
export interface GapReading {
  readonly likelihood: ReadingLikelihood;
  readonly row: number;
}

/** Gaps read on one specimen. */
export interface GapTask {
  readonly job: Pick<Job, "order" | "pressRatio">;
  readonly part: Part;
  readonly block: Pick<ReadingBlock, "biases">;
  readonly sources: readonly Pick<Source, "priorSd">[];
  /** Sources at the centre of the reference Gaussian, in their prior standard deviations. */
  readonly mean: Float64Array;
  /** Index of the specimen's elementary errors in a point, and their values at the centre. */
  readonly first: number;
  readonly centre: Float64Array;
  readonly gaps: readonly GapReading[];
}

interface Gap {
  /** The reading is of the widest of these probes. */
  readonly probes: readonly number[];
  /** Instrument bias: the known part, and the index and prior standard deviation of the unknown part (0 where there is none). */
  readonly shift: number;
  readonly bias: number;
  readonly biasUnit: number;
}

/** Likelihood of the gaps read on one specimen, which is seated by the kernel for every proposal. */
export function gapFactor({ job, part, block, sources, mean, first, centre, gaps }: GapTask): WeightFactor {
  const { reader } = part.specimen;
  const kernel = reader.kernel(job.order, job.pressRatio);
  const read = gaps.map(({ row }): Gap => {
    const reading = at(part.readings, row);
    const { shift, column } = block.biases.get(reading.instrument) ?? NO_BIAS;
    const unit = column < 0 ? 0 : at(sources, column).priorSd;
    const known = shift + (column < 0 ? 0 : unit * at(mean, column));
    const probes = reader.probesMeant(reading);
    return { probes, shift: known, bias: Math.max(column, 0), biasUnit: unit };
  });
  const add = sumOfLogs(gaps.map(({ likelihood }) => likelihood));
  const mu = new Float64Array(read.length);
  return {
    logBound: mostOf(gaps),
    add(proposals, out) {
      seat(kernel, proposals, first, centre);
      for (let t = 0; t < proposals.count; t++) {
        for (let i = 0; i < read.length; i++) {
          const { probes, shift, bias, biasUnit } = read[i]!;
          const unknown = biasUnit === 0 ? 0 : biasUnit * numberAt(proposals, t, bias);
          mu[i] = shift + unknown + widestOf(kernel, t, probes);
        }
        out[t]! += add(mu);
      }
    },
  };
}

function seat(kernel: SeatingKernel, proposals: Proposals, first: number, centre: Float64Array): void {
  const { at, cos, sin, points, others, count } = proposals;
  for (let t = 0; t < count; t++) {
    const draws = kernel.drawsOf(t);
    const [c, s, from] = [cos[t]!, sin[t]!, at[t]! + first];
    for (let e = 0; e < centre.length; e++)
      draws[e] = centre[e]! + (c * points[from + e]! + s * others[from + e]!);
  }
  kernel.seat(count);
}

function widestOf(kernel: SeatingKernel, trial: number, probes: readonly number[]): number {
  let widest = Number.NEGATIVE_INFINITY;
  for (const probe of probes) widest = Math.max(widest, kernel.gap(trial, probe));
  return widest;
}
