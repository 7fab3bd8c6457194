import {
  addScaled,
  at,
  columnOf,
  diagonalOf,
  identity,
  innerProduct,
  lowerRowTimes,
  residual,
  rowOf,
  rowTimes,
} from "../../core/numeric/dense.js";
import {
  choleskyInPlace,
  choleskySolveInPlace,
  symmetricInverse,
} from "../../core/numeric/linear-algebra.js";
import { normalCdf } from "../../core/numeric/normal.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";
import { SCATTER_OF, SCATTERS } from "./block-density.js";
import { measuredRows } from "./initial-gaussian.js";
import type { TargetDensity } from "./posterior-mode.js";
import { logScatterPrior, type State } from "./posterior-walk.js";
import {
  latentsAt,
  type NormalRows,
  readingSpace,
  type SourceDistribution,
  trialDistribution,
} from "./trial-distribution.js";

/**
 * The posterior if every reading is linear in the unknowns with normal noise (no gaps, no possible mistakes): normal for given scatters, and a mixture over them on a grid of
 * log s. For such smooth densities the trapezoidal rule in log s converges faster than any power of its step; with the chosen step the moments are accurate to better than 1e-6.
 */
export interface NormalMixture {
  readonly nodes: readonly MixtureNode[];
  /** Mean and covariance of the sources, in their prior standard deviations. */
  readonly distribution: SourceDistribution;
}

interface MixtureNode {
  /** Ratios of the scatters to the job's. */
  readonly ratios: Float64Array;
  readonly share: number;
  readonly distribution: SourceDistribution;
}

/** First step of log s in the search for the maximum; then the step of the grid as a share of the standard deviation of log s at the maximum: its error is about exp(−2π²/0.8²) ≈ 1e-13. */
const SEARCH_STEP = 0.15;
const GRID_STEP = 0.8;
/** Largest step, used if the readings do not inform the scatter. */
const WIDEST_STEP = 0.25;
/** A node is left out if the log of its density relative to the maximum is below this. */
const NEGLIGIBLE = -23;
const MOST_NODES = 60_000;

/** @param scatters whether the scatters are unknowns; otherwise they are the job's. */
export function normalMixture(target: TargetDensity, scatters: boolean): NormalMixture {
  const { sources, blocks, prior } = target;
  const priorMean =
    prior?.mean ?? Float64Array.from(sources, ({ priorMean: mean = 0, priorSd }) => mean / priorSd);
  const rows = blocks.map((block) => measuredRows(target, block));
  const moved = scatters
    ? [...SCATTERS.keys()].filter((of) =>
        blocks.some(({ kinds }) => kinds.some((kind) => SCATTER_OF[kind] === of)),
      )
    : [];
  const made = new Nodes((logs) => {
    const ratios = new Float64Array(SCATTERS.length).fill(1);
    for (const [k, of] of moved.entries()) ratios[of] = Math.exp(at(logs, k));
    const { log, distribution } = atScatters(rows, target, ratios, priorMean);
    return {
      log: moved.reduce((sum, of) => sum + logScatterPrior(at(ratios, of)), log),
      node: { ratios, distribution },
    };
  });
  const grid = {
    origin: moved.map(() => 0),
    steps: moved.map(() => SEARCH_STEP),
  };
  let place = moved.map(() => 0);
  for (;;) {
    const better = neighbours(place).find((next) => made.log(grid, next) > made.log(grid, place));
    if (!better) break;
    place = better;
  }
  const fine = {
    origin: place.map((index, k) => index * at(grid.steps, k)),
    steps: place.map((index, k) => {
      const beside = [index - 1, index, index + 1].map((next) => made.log(grid, place.with(k, next)));
      const curvature = (2 * at(beside, 1) - at(beside, 0) - at(beside, 2)) / SEARCH_STEP ** 2;
      return Math.min(WIDEST_STEP, GRID_STEP / Math.sqrt(Math.max(curvature, 1)));
    }),
  };
  const nodes = made.above(fine, NEGLIGIBLE);
  return { nodes, distribution: mixed(nodes, sources.length) };
}

/** A grid of logs of the scatters' ratios. */
interface ScatterGrid {
  readonly origin: readonly number[];
  readonly steps: readonly number[];
}

/** Nodes of the mixture, each computed on first use. */
class Nodes {
  readonly #made = new Map<string, { log: number; node: Omit<MixtureNode, "share"> }>();

  constructor(
    readonly make: (logs: readonly number[]) => { log: number; node: Omit<MixtureNode, "share"> },
  ) {}

  #at({ origin, steps }: ScatterGrid, place: readonly number[]) {
    const logs = place.map((index, k) => at(origin, k) + index * at(steps, k));
    const key = logs.join(" ");
    const known = this.#made.get(key) ?? this.make(logs);
    this.#made.set(key, known);
    return known;
  }

  log(grid: ScatterGrid, place: readonly number[]): number {
    return this.#at(grid, place).log;
  }

  /** The nodes around the origin whose log density relative to the highest node is at least `negligible` (< 0), with their shares. */
  above(grid: ScatterGrid, negligible: number): MixtureNode[] {
    const start = grid.origin.map(() => 0);
    const seen = new Map([[start.join(" "), this.#at(grid, start)]]);
    let top = this.log(grid, start);
    for (const queue = [start]; queue.length > 0 && seen.size < MOST_NODES; ) {
      for (const next of neighbours(queue.pop() ?? [])) {
        const key = next.join(" ");
        if (seen.has(key)) continue;
        const found = this.#at(grid, next);
        seen.set(key, found);
        top = Math.max(top, found.log);
        if (found.log - top > negligible) queue.push(next);
      }
    }
    const kept = [...seen.values()].filter(({ log }) => log - top > negligible);
    const total = kept.reduce((sum, { log }) => sum + Math.exp(log - top), 0);
    return kept.map(({ log, node }) => ({ ...node, share: Math.exp(log - top) / total }));
  }
}

const neighbours = (place: readonly number[]): number[][] =>
  place.flatMap((value, k) => [value - 1, value + 1].map((next) => place.with(k, next)));

/** Log evidence of rows of readings at given scatters, up to a constant, and the conditional distribution of the sources. */
function atScatters(
  rows: readonly NormalRows[],
  { blocks, prior }: TargetDensity,
  ratios: Float64Array,
  priorMean: Float64Array,
): { log: number; distribution: SourceDistribution } {
  const p = priorMean.length;
  const information = prior ? prior.precision.slice() : identity(p);
  const gradient = new Float64Array(p);
  let log = 0;
  for (const [t, block] of blocks.entries()) {
    const { a, b, y } = scaledRows(at(rows, t), block.kinds, ratios);
    const r = y.length;
    if (r === 0) continue;
    const factor = readingSpace(a, r, block.latents);
    for (const pivot of diagonalOf(factor)) log -= Math.log(pivot);
    const left = y.map((value, i) => residual(value, rowOf(b, i, p), priorMean));
    const solved = left.slice();
    choleskySolveInPlace(factor, r, solved);
    log -= innerProduct(left, solved) / 2;
    for (let c = 0; c < p; c++) {
      const column = columnOf(b, c, p);
      gradient[c] = at(gradient, c) + innerProduct(column, solved);
      choleskySolveInPlace(factor, r, column);
      for (const [i, w] of column.entries()) addScaled(rowOf(information, c, p), rowOf(b, i, p), w);
    }
  }
  const covariance = symmetricInverse(information, p);
  const shift = Float64Array.from(priorMean, (_, i) => rowTimes(covariance, i, p, gradient));
  choleskyInPlace(information, p);
  for (const pivot of diagonalOf(information)) log -= Math.log(pivot);
  log += innerProduct(gradient, shift) / 2;
  return { log, distribution: { mean: priorMean.map((value, i) => value + at(shift, i)), covariance } };
}

function scaledRows(
  { a, b, y }: NormalRows,
  kinds: TargetDensity["blocks"][number]["kinds"],
  ratios: Float64Array,
): NormalRows {
  const n = kinds.length;
  const of = kinds.map((kind) => SCATTER_OF[kind]);
  return { b, y, a: a.map((slope, k) => (at(of, k % n) < 0 ? slope : slope * at(ratios, at(of, k % n)))) };
}

/** Mean and covariance of the mixture. */
function mixed(nodes: readonly MixtureNode[], p: number): SourceDistribution {
  const mean = new Float64Array(p);
  for (const { share, distribution } of nodes) addScaled(mean, distribution.mean, share);
  const covariance = new Float64Array(p * p);
  for (const { share, distribution } of nodes) {
    addScaled(covariance, distribution.covariance, share);
    const apart = distribution.mean.map((value, i) => value - at(mean, i));
    for (const [i, own] of apart.entries()) addScaled(rowOf(covariance, i, p), apart, share * own);
  }
  return { mean, covariance };
}

/** The value of source i below which the mixture has the given probability, in prior standard deviations; by bisection. */
export function mixtureQuantile(
  { nodes, distribution }: NormalMixture,
  i: number,
  probability: number,
): number {
  const p = distribution.mean.length;
  const parts = nodes.map(({ share, distribution: { mean, covariance } }) => ({
    share,
    mean: at(mean, i),
    sd: Math.sqrt(at(covariance, i * (p + 1))),
  }));
  const below = (x: number): number =>
    parts.reduce((sum, { share, mean, sd }) => sum + share * normalCdf((x - mean) / sd), 0);
  const reach = 40 * Math.sqrt(at(distribution.covariance, i * (p + 1)));
  let [low, high] = [at(distribution.mean, i) - reach, at(distribution.mean, i) + reach];
  for (let k = 0; k < HALVINGS; k++) {
    const middle = (low + high) / 2;
    if (below(middle) < probability) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

const HALVINGS = 60;

/** Independent draws of the mixture with the cut-to-cut errors, in the job's standard deviations. */
export function drawMixture(
  target: TargetDensity,
  { nodes }: NormalMixture,
  draws: number,
  stream: RandomStream,
): State[] {
  const { blocks, sources } = target;
  const p = sources.length;
  const rows = blocks.map((block) => measuredRows(target, block));
  const picks = picksOf(nodes, draws, stream);
  const made = new Map<number, ReturnType<typeof prepared>>();
  const prepared = (node: MixtureNode) => {
    const root = node.distribution.covariance.slice();
    choleskyInPlace(root, p);
    return {
      root,
      trials: blocks.map(({ kinds, latents }, b) =>
        trialDistribution(scaledRows(at(rows, b), kinds, node.ratios), latents),
      ),
    };
  };
  return Array.from(picks, (pick) => {
    const node = at(nodes, pick);
    const ready = made.get(pick) ?? prepared(node);
    made.set(pick, ready);
    const normals = stream.fill(new Float64Array(p));
    const x = Float64Array.from(node.distribution.mean, (mean, i) =>
      lowerRowTimes(ready.root, i, normals, mean),
    );
    return {
      sources: x,
      ratios: node.ratios.slice(),
      latents: blocks.map(({ kinds, latents }, b) => {
        const trial = at(ready.trials, b);
        const { a, gain, readings: r } = trial;
        const centre = latentsAt(trial, x);
        const u = stream.fill(new Float64Array(latents));
        const misfit = Float64Array.from({ length: r }, (_, i) =>
          rowTimes(a, i, latents, u, stream.normal()),
        );
        return centre.map((value, k) => {
          const of = SCATTER_OF[at(kinds, k)];
          const own = value + at(u, k) - rowTimes(gain, k, r, misfit);
          return of < 0 ? own : own * at(node.ratios, of);
        });
      }),
    };
  });
}

/** Indices of nodes drawn in proportion to their shares, in random order. */
function picksOf(nodes: readonly MixtureNode[], draws: number, stream: RandomStream): Int32Array {
  const shares = Float64Array.from(nodes, ({ share }) => share);
  const fine = new Float64Array(draws);
  let [k, sum] = [0, at(shares, 0)];
  const start = stream.uniform();
  for (let i = 0; i < draws; i++) {
    while ((i + start) / draws > sum && k < shares.length - 1) sum += at(shares, ++k);
    fine[i] = k;
  }
  for (let i = draws - 1; i > 0; i--) {
    const j = stream.integer(i + 1);
    [fine[i], fine[j]] = [at(fine, j), at(fine, i)];
  }
  return Int32Array.from(fine);
}
