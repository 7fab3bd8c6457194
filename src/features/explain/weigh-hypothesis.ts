import { at } from "../../core/numeric/dense.js";
import { createStream, type RandomStream } from "../../core/numeric/random-stream.js";
import type { Hypothesis } from "./causes.js";
import { type GapSeater, logLikelihood } from "./seat-cells.js";
import { type Nearby, type SoftModeProblem, softMode } from "./soft-mode.js";

/** A way in which the cells may have come about. */
export interface Draw {
  /** Size of each cause, rad or mm. */
  readonly sizes: Float64Array;
  /** Log of its weight: likelihood × prior / density it was drawn with. */
  readonly logWeight: number;
  /** Gaps of every cell, row-major (cell, probe), mm. */
  readonly gaps: Float64Array;
}

/** How well a hypothesis foretold the readings. */
export interface Weighed {
  readonly hypothesis: Hypothesis;
  /** Log of the marginal likelihood of the readings, and its standard error from the number of draws. */
  readonly logEvidence: number;
  readonly standardError: number;
  /** Draws that count: (Σ weight)² / Σ weight². */
  readonly effectiveSampleSize: number;
  readonly draws: readonly Draw[];
}

/** Share of draws made from the prior itself: no weight can then exceed the likelihood by more than its inverse. */
const FROM_PRIOR = 0.1;
/** Shared out evenly among the modes; the rest by their softened evidence. */
const EVEN_SHARE = 0.2;

/** A hypothesis being weighed: draws are added until its evidence is known well enough. */
export class Weighing {
  readonly #problem: SoftModeProblem;
  readonly #seater: GapSeater;
  readonly #stream: RandomStream;
  readonly #components: readonly { readonly nearby: Nearby; readonly share: number }[];
  readonly #draws: Draw[] = [];

  constructor(problem: SoftModeProblem, seater: GapSeater, seed: number, substream: number) {
    this.#problem = problem;
    this.#seater = seater;
    this.#stream = createStream(seed, substream);
    this.#components = componentsOf(problem);
  }

  /** Draws `count` more. */
  add(count: number): void {
    const { hypothesis, cells } = this.#problem;
    const own = at(cells, 0).specimen.betweenCutSd.length;
    const unknowns = Array.from({ length: count }, () => this.#draw());
    const errors = unknowns.flatMap((z) =>
      cells.map((_, c) => {
        const out = new Float64Array(own);
        hypothesis.errorsOf(c, z, out);
        return out;
      }),
    );
    const gaps = this.#seater.seat(errors);
    const row = cells.length * this.#seater.probes;
    for (const [i, z] of unknowns.entries()) {
      let logWeight = 0;
      for (const [c, cell] of cells.entries()) {
        logWeight += logLikelihood(cell, gaps, i * row + c * this.#seater.probes);
      }
      if (logWeight > Number.NEGATIVE_INFINITY) logWeight += logPrior(z) - this.#logDensity(z);
      this.#draws.push({
        ...{ sizes: hypothesis.sizesOf(z), logWeight },
        gaps: gaps.subarray(i * row, (i + 1) * row),
      });
    }
  }

  result(): Weighed {
    const logs = this.#draws.map(({ logWeight }) => logWeight);
    const total = logSum(logs);
    const effectiveSampleSize =
      total > Number.NEGATIVE_INFINITY ? Math.exp(2 * total - logSum(logs.map((l) => 2 * l))) : 0;
    return {
      hypothesis: this.#problem.hypothesis,
      logEvidence: total - Math.log(logs.length),
      standardError:
        effectiveSampleSize > 0 ? Math.sqrt(Math.max(0, 1 / effectiveSampleSize - 1 / logs.length)) : 1,
      effectiveSampleSize,
      draws: this.#draws,
    };
  }

  #draw(): Float64Array {
    let lot = this.#stream.uniform() - FROM_PRIOR;
    for (const { nearby, share } of lot < 0 ? [] : this.#components) {
      lot -= share;
      if (lot < 0) return nearby.draw(this.#stream);
    }
    return this.#stream.fill(new Float64Array(this.#problem.hypothesis.unknowns));
  }

  #logDensity(z: Float64Array): number {
    const logs = [Math.log(this.#components.length > 0 ? FROM_PRIOR : 1) + logPrior(z)];
    for (const { nearby, share } of this.#components) logs.push(Math.log(share) + nearby.logDensity(z));
    return logSum(logs);
  }
}

/** Normals about the modes reached from each cause by itself, too much of it and too little. */
function componentsOf(problem: SoftModeProblem): { nearby: Nearby; share: number }[] {
  const { causes, unknowns } = problem.hypothesis;
  const first = unknowns - causes.length;
  const starts = causes.flatMap((_, k) =>
    [1, -1].map((size) => new Float64Array(unknowns).fill(size, first + k, first + k + 1)),
  );
  if (causes.length !== 1) starts.push(new Float64Array(unknowns));
  const modes = starts.flatMap((start) => softMode(problem, start) ?? []);
  const best = logSum(modes.map(({ softEvidence }) => softEvidence));
  return modes.map(({ nearby, softEvidence }) => {
    const share = EVEN_SHARE / modes.length + (1 - EVEN_SHARE) * Math.exp(softEvidence - best);
    return { nearby, share: (1 - FROM_PRIOR) * share };
  });
}

/** Log density of independent standard normals, without its constant. */
function logPrior(z: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < z.length; k++) sum -= (at(z, k) * at(z, k)) / 2;
  return sum;
}

/** log Σ exp, without overflow. */
export function logSum(logs: readonly number[]): number {
  let most = Number.NEGATIVE_INFINITY;
  for (const log of logs) most = Math.max(most, log);
  if (most === Number.NEGATIVE_INFINITY) return most;
  let sum = 0;
  for (const log of logs) sum += Math.exp(log - most);
  return most + Math.log(sum);
}

/** How large a cause is, if it is the cause; rad or mm. */
export interface SizeFound {
  /** Most probable size, rad or mm: the median on the likelier side of zero. */
  readonly size: number;
  /** Central 95 % interval over both sides. */
  readonly interval: readonly [number, number];
  /** Probability that it lies on the side of `size`. */
  readonly thatSide: number;
  /** Where it may as well have the other sign, and on either side is clearly not zero: the median on the other side, rad or mm; else `null`. */
  readonly other: number | null;
}

/** The other sign is open while it has more than this probability. */
const OPEN = 0.025;
/** A side is a place of its own when its mean is more than this many of its standard deviations from zero. (The half of a normal law about zero has 1.3.) */
const OWN_PLACE = 2;
/** Of draws worth fewer than this many equal ones nothing is said of signs. */
export const ENOUGH = 40;

/** The size of cause number `k` of a hypothesis from weighted draws. */
export function sizeFound(draws: readonly Draw[], k: number): SizeFound {
  const most = draws.reduce((m, { logWeight }) => Math.max(m, logWeight), Number.NEGATIVE_INFINITY);
  const weighted = draws
    .map(({ sizes, logWeight }) => ({
      size: at(sizes, k),
      weight: most > Number.NEGATIVE_INFINITY ? Math.exp(logWeight - most) : 1,
    }))
    .sort((a, b) => a.size - b.size);
  const total = weightOf(weighted);
  const above = weighted.filter(({ size }) => size > 0);
  const below = weighted.filter(({ size }) => size <= 0);
  const share = weightOf(above) / total;
  const [side, other] = share >= 0.5 ? [above, below] : [below, above];
  const enough = total ** 2 / weighted.reduce((sum, { weight }) => sum + weight ** 2, 0) >= ENOUGH;
  const open = enough && Math.min(share, 1 - share) > OPEN && isApart(side) && isApart(other);
  return {
    size: quantile(side, 0.5),
    interval: [quantile(weighted, 0.025), quantile(weighted, 0.975)],
    thatSide: Math.max(share, 1 - share),
    other: open ? quantile(other, 0.5) : null,
  };
}

interface Weighted {
  readonly size: number;
  readonly weight: number;
}

function isApart(list: readonly Weighted[]): boolean {
  const total = weightOf(list);
  const mean = list.reduce((sum, { size, weight }) => sum + weight * size, 0) / total;
  const variance = list.reduce((sum, { size, weight }) => sum + weight * (size - mean) ** 2, 0) / total;
  return Math.abs(mean) > OWN_PLACE * Math.sqrt(variance);
}

const weightOf = (list: readonly Weighted[]): number => list.reduce((sum, { weight }) => sum + weight, 0);

/** The size below which this share of the weight lies. */
function quantile(sorted: readonly Weighted[], share: number): number {
  let left = share * weightOf(sorted);
  for (const { size, weight } of sorted) {
    left -= weight;
    if (left <= 0) return size;
  }
  return at(sorted, sorted.length - 1).size;
}
