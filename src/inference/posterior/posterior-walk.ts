import { at, diagonalOf, rowsOf } from "../../core/numeric/dense.js";
import { type EllipseProposals, stepOnEllipses } from "../../core/numeric/elliptical-slice.js";
import { choleskyInPlace } from "../../core/numeric/linear-algebra.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";
import { BATCH_TRIALS as BATCH } from "../../physics/kernel/seating-kernel.js";
import { logPrior, type SourcePrior } from "../likelihood/source-prior.js";
import { addGaps, BlockDensity, type GapPart, SCATTERS } from "./block-density.js";
import type { TargetDensity } from "./posterior-mode.js";
import type { SourceDistribution, TrialDistribution } from "./trial-distribution.js";

/** Unknowns of a walker: the sources (in their prior standard deviations), every trial's cut-to-cut errors (in the job's standard deviations), and the ratios of the scatters to the job's. */
export interface State {
  readonly sources: Float64Array;
  readonly latents: readonly Float64Array[];
  readonly ratios: Float64Array;
}

/** A normal approximation of the posterior: of the sources (in their prior standard deviations), and of each trial's cut-to-cut errors given the sources. */
export interface ReferenceGaussian {
  readonly distribution: SourceDistribution;
  readonly trials: readonly TrialDistribution[];
}

/**
 * Weight of the stated scatter as evidence, as a number of pieces. The prior of a variance is the scaled inverse χ² distribution with this many degrees of freedom, so the
 * log prior density of log s, with s the ratio to the stated scatter, is −ν·log s − ν/(2s²) up to a constant.
 */
export const STATED_SCATTER_PIECES = 6;

/** Log prior density of the log of a scatter, given as its ratio to the stated one; up to a constant. */
export const logScatterPrior = (ratio: number): number =>
  -STATED_SCATTER_PIECES * (Math.log(ratio) + 1 / (2 * ratio ** 2));

/** Standard deviation of a proposed change of log s. */
const SCATTER_STEP = 0.3;

/**
 * Walkers that sample the posterior of the sources x, all cut-to-cut errors u and the scatters s: prior × likelihood, or a tempered distribution between a reference Gaussian and it.
 * The weight is the ratio of the two. Inside, u is written as its mean under the reference given x, plus a deviation z, so that a move of x also moves the cut-to-cut errors that the readings
 * correlate with it. Each of the moves leaves the distribution invariant:
 *
 * - `moveSources`: elliptical slice sampling of x, with z fixed; every trial is evaluated.
 * - `moveBlocks`: the same for z of each trial on its own, with x fixed.
 * - `moveScatters`: random-walk Metropolis on log s.
 * - `cross`: a source crosses to the other side of zero and the others move with it (Metropolis), because a gap often identifies how far a ramp is off but not in which direction.
 */
export class PosteriorWalk {
  readonly walkers: number;
  /** Power (inverse temperature) of the weight, 0 to 1. */
  power = 1;
  readonly ratios: Float64Array;
  readonly #ratioViews: readonly Float64Array[];
  readonly #p: number;
  readonly #n: number;
  readonly #width: number;
  readonly #blocks: readonly BlockDensity[];
  readonly #priorMean: Float64Array;
  /** The prior, if records correlate sources; otherwise `null`. */
  readonly #prior: SourcePrior | null;
  readonly #mean: Float64Array;
  readonly #root: Float64Array;
  readonly #stream: RandomStream;
  readonly #overStated: Float64Array;
  readonly #scattersMoved: readonly number[];
  readonly #x: Float64Array;
  readonly #z: Float64Array;
  /** Log prior density and likelihood: of the sources, and of each block (row-major: walker, block). */
  readonly #ofSources: Float64Array;
  readonly #ofBlocks: Float64Array;
  /** −log reference density of the sources and of each block. */
  readonly #lossOfSources: Float64Array;
  readonly #lossOfBlocks: Float64Array;
  /** Proposals: their rows, and the results of evaluating them. */
  readonly #rows: Float64Array;
  readonly #proposedZ: Float64Array;
  readonly #proposedOfBlocks: Float64Array;
  readonly #proposedOfSources: Float64Array;
  readonly #proposedLoss: Float64Array;
  /** Working space. */
  readonly #whitened: Float64Array;
  readonly #starts: Int32Array;
  readonly #found: Float64Array;
  readonly #gapBound: number;
  readonly #gapParts: readonly PlacedGaps[];

  constructor(
    target: TargetDensity,
    reference: ReferenceGaussian,
    { walkers, stream, scatters, overStated = new Float64Array(SCATTERS.length).fill(1) }: WalkOptions,
  ) {
    const { sources, blocks, prior } = target;
    this.#prior = prior;
    this.walkers = walkers;
    this.#stream = stream;
    this.#overStated = overStated;
    this.#p = sources.length;
    this.#priorMean = Float64Array.from(sources, ({ priorMean = 0, priorSd }) => priorMean / priorSd);
    this.#mean = reference.distribution.mean;
    this.#root = reference.distribution.covariance.slice();
    if (!choleskyInPlace(this.#root, this.#p))
      throw new RangeError("The reference Gaussian's covariance is not positive definite.");
    let first = 0;
    this.#blocks = blocks.map((block, b) => {
      const density = new BlockDensity(target, block, at(reference.trials, b), first);
      first += block.latents;
      return density;
    });
    this.#n = first;
    this.#width = this.#p + first;
    this.#gapParts = this.#blocks.flatMap(({ gapParts }, block) => gapParts.map((part) => ({ block, part })));
    this.#gapBound = this.#blocks.reduce((sum, { gapBound }) => sum + gapBound, 0);
    this.#scattersMoved = scatters
      ? [...SCATTERS.keys()].filter((of) => this.#blocks.some(({ scatter }) => scatter.includes(of)))
      : [];
    const each = (width: number): Float64Array => new Float64Array(walkers * width);
    const B = blocks.length;
    this.ratios = each(SCATTERS.length).fill(1);
    this.#ratioViews = rowsOf(this.ratios, SCATTERS.length);
    [this.#x, this.#z] = [each(this.#p), each(first)];
    [this.#ofSources, this.#ofBlocks] = [each(1), each(B)];
    [this.#lossOfSources, this.#lossOfBlocks] = [each(1), each(B)];
    [this.#rows, this.#proposedZ] = [each(this.#width), each(first)];
    [this.#proposedOfBlocks, this.#proposedOfSources] = [each(B), each(1)];
    this.#proposedLoss = each(1);
    this.#whitened = new Float64Array(this.#p);
    [this.#starts, this.#found] = [new Int32Array(BATCH), new Float64Array(BATCH)];
  }

  /** Draws every walker from the reference, with scatters from their prior. */
  draw(): void {
    const stream = this.#stream;
    for (let k = 0; k < this.walkers; k++) {
      this.#drawSources(this.#x, k * this.#p, 1);
      for (const block of this.#blocks) this.#drawBlock(block, this.#z, k * this.#n);
      for (const scatter of this.#scattersMoved) {
        let squares = 0;
        for (let i = 0; i < STATED_SCATTER_PIECES; i++) squares += stream.normal() ** 2;
        this.ratios[k * SCATTERS.length + scatter] = Math.sqrt(STATED_SCATTER_PIECES / squares);
      }
    }
    this.#evaluateAll();
  }

  /**
   * Log ratio of another likelihood of the same readings to this one at each walker's position; the two may differ in the order in which cells are seated.
   * @param parts the result of {@link gapPartsOf} for that likelihood.
   */
  logRatios(parts: readonly PlacedGaps[]): Float64Array {
    const B = this.#blocks.length;
    const logs = new Float64Array(this.walkers);
    for (let k = 0; k < this.walkers; k++) this.#writeRow(k, k, this.#x, k * this.#p);
    this.#weighGaps(everyWalker(this.walkers), logs, parts, 0);
    return logs.map((_, k) => {
      let sum = 0;
      for (let b = 0; b < B; b++) sum += this.#proposedOfBlocks[k * B + b]! - this.#ofBlocks[k * B + b]!;
      return sum;
    });
  }

  /** The gap parts of a likelihood of the same readings, in the layout of this walk. */
  gapPartsOf(target: TargetDensity): PlacedGaps[] {
    return target.blocks.flatMap((block, b) => {
      const { reference, first } = at(this.#blocks, b);
      const { gapParts } = new BlockDensity(target, block, reference, first);
      return gapParts.map((part) => ({ block: b, part }));
    });
  }

  /** Starts every walker at a state. */
  start(states: readonly State[]): void {
    for (const [k, { sources, latents, ratios }] of states.entries()) {
      const row = k * this.#width;
      this.#x.set(sources, k * this.#p);
      this.ratios.set(ratios, k * SCATTERS.length);
      this.#rows.set(sources, row);
      for (const [b, block] of this.#blocks.entries()) {
        this.#rows.set(at(latents, b), row + this.#p + block.first);
        block.readDeviations(this.#rows, row, this.#ratiosOf(k), this.#z, k * this.#n + block.first);
      }
    }
    this.#evaluateAll();
  }

  states(): State[] {
    return Array.from({ length: this.walkers }, (_, k) => {
      this.#writeRow(k, k, this.#x, k * this.#p);
      const own = k * this.#width + this.#p;
      return {
        sources: this.#x.slice(k * this.#p, (k + 1) * this.#p),
        latents: this.#blocks.map(({ first, count }) => this.#rows.slice(own + first, own + first + count)),
        ratios: this.#ratiosOf(k).slice(),
      };
    });
  }

  /** The deviations z of a walker's cut-to-cut errors from their mean under the reference, by block. */
  deviationsOf(k: number): Float64Array[] {
    const from = k * this.#n;
    return this.#blocks.map(({ first, count }) => this.#z.slice(from + first, from + first + count));
  }

  /** The sources of all walkers, row-major (walker, source), in their prior standard deviations. */
  sources(): Float64Array {
    return this.#x.slice();
  }

  /** Log of the weight at each walker's position. */
  logWeights(): Float64Array {
    return Float64Array.from({ length: this.walkers }, (_, k) => this.#logWeight(k));
  }

  /** Resampling: moves walker k to the position of walker `from[k]`. */
  gather(from: Int32Array): void {
    const B = this.#blocks.length;
    const each: [Float64Array, number][] = [
      [this.#x, this.#p],
      [this.#z, this.#n],
      [this.ratios, SCATTERS.length],
      [this.#ofSources, 1],
      [this.#ofBlocks, B],
      [this.#lossOfSources, 1],
      [this.#lossOfBlocks, B],
    ];
    for (const [values, width] of each) {
      const before = values.slice();
      for (const [k, source] of from.entries())
        values.set(before.subarray(source * width, (source + 1) * width), k * width);
    }
  }

  /** One step of every walker's sources. */
  moveSources(): void {
    const [p, B] = [this.#p, this.#blocks.length];
    const [x, mean] = [this.#x, this.#mean];
    const others = new Float64Array(this.walkers * p);
    for (let k = 0; k < this.walkers; k++) this.#drawSources(others, k * p, 0);
    const scratch = new Float64Array(p);
    stepOnEllipses({
      walkers: this.walkers,
      stream: this.#stream,
      power: this.power,
      current: Float64Array.from({ length: this.walkers }, (_, k) => this.#logWeight(k)),
      weigh: (proposals, out) => {
        for (let t = 0; t < proposals.count; t++) {
          const k = proposals.walker[t]!;
          const [c, s] = [proposals.cos[t]!, proposals.sin[t]!];
          for (let i = 0; i < p; i++)
            scratch[i] = (1 - c) * mean[i]! + c * x[k * p + i]! + s * others[k * p + i]!;
          out[t] = this.#writeRow(t, k, scratch, 0);
        }
        this.#weighGaps(proposals, out, this.#gapParts, this.#gapBound);
      },
      accept: (t, k) => {
        const row = t * this.#width;
        for (let i = 0; i < p; i++) this.#x[k * p + i] = this.#rows[row + i]!;
        this.#ofSources[k] = this.#proposedOfSources[t]!;
        this.#lossOfSources[k] = this.#proposedLoss[t]!;
        for (let b = 0; b < B; b++) this.#ofBlocks[k * B + b] = this.#proposedOfBlocks[t * B + b]!;
      },
    });
  }

  /** One step of the cut-to-cut errors of every walker, each trial by itself. */
  moveBlocks(): void {
    const [p, n, B] = [this.#p, this.#n, this.#blocks.length];
    const [x, from, to, rows] = [this.#x, this.#z, this.#proposedZ, this.#rows];
    for (const [b, block] of this.#blocks.entries()) {
      if (block.count === 0) continue;
      const { first, count } = block;
      const parts = this.#gapParts.filter(({ block: of }) => of === b);
      const others = new Float64Array(this.walkers * count);
      for (let k = 0; k < this.walkers; k++) {
        this.#drawBlock(block, this.#proposedZ, 0);
        others.set(this.#proposedZ.subarray(first, first + count), k * count);
      }
      const losses = new Float64Array(this.walkers);
      stepOnEllipses({
        walkers: this.walkers,
        stream: this.#stream,
        power: this.power,
        current: Float64Array.from(
          { length: this.walkers },
          (_, k) => this.#ofBlocks[k * B + b]! + this.#lossOfBlocks[k * B + b]!,
        ),
        weigh: (proposals, out) => {
          for (let t = 0; t < proposals.count; t++) {
            const k = proposals.walker[t]!;
            const [c, s] = [proposals.cos[t]!, proposals.sin[t]!];
            const z = t * n + first;
            const [now, other] = [k * n + first, k * count];
            for (let i = 0; i < count; i++) to[z + i] = c * from[now + i]! + s * others[other + i]!;
            const row = t * this.#width;
            for (let i = 0; i < p; i++) rows[row + i] = x[k * p + i]!;
            losses[t] = block.referenceLoss(this.#proposedZ, z);
            const own = block.writeErrors(this.#rows, row, this.#proposedZ, z, this.#ratiosOf(k));
            this.#proposedOfBlocks[t * B + b] = own;
            out[t] = own + losses[t]!;
          }
          this.#weighGaps(proposals, out, parts, block.gapBound);
        },
        accept: (t, k) => {
          for (let i = 0; i < count; i++) this.#z[k * n + first + i] = this.#proposedZ[t * n + first + i]!;
          this.#ofBlocks[k * B + b] = this.#proposedOfBlocks[t * B + b]!;
          this.#lossOfBlocks[k * B + b] = losses[t]!;
        },
      });
    }
  }

  /** One step of every walker's scatters. */
  moveScatters(): void {
    const S = SCATTERS.length;
    if (this.#scattersMoved.length === 0) return;
    const before = this.ratios.slice();
    this.#metropolis({
      propose: (k) => {
        let log = 0;
        for (const scatter of this.#scattersMoved) {
          const was = before[k * S + scatter]!;
          const ratio = was * Math.exp(SCATTER_STEP * this.#stream.normal());
          this.ratios[k * S + scatter] = ratio;
          const over = this.#overStated[scatter]!;
          log += logScatterPrior(over * ratio) - logScatterPrior(over * was);
        }
        return log;
      },
      undo: (k) => this.ratios.set(before.subarray(k * S, (k + 1) * S), k * S),
    });
  }

  /**
   * Proposes for every walker to cross to the other side of zero of a source: its sources are mapped to the other side (by the affine map between the normal
   * distributions of the two sides), and the cut-to-cut errors that act in the same places as the source change sign.
   */
  cross({ source, errors, above, below }: SideCrossing): void {
    const [p, n, B] = [this.#p, this.#n, this.#blocks.length];
    const [x, z, losses] = [this.#x.slice(), this.#z.slice(), this.#lossOfBlocks.slice()];
    const volume = logVolume(below.root, p) - logVolume(above.root, p);
    const y = new Float64Array(p);
    this.#metropolis({
      propose: (k) => {
        const row = k * this.#width;
        this.#writeRow(k, k, x, k * p);
        const isAbove = this.#rows[row + source]! > 0;
        const [from, to] = isAbove ? [above, below] : [below, above];
        for (let i = 0; i < p; i++) {
          let left = this.#rows[row + i]! - from.mean[i]!;
          for (let j = 0; j < i; j++) left -= from.root[i * p + j]! * y[j]!;
          y[i] = left / from.root[i * p + i]!;
        }
        for (let i = 0; i < p; i++) {
          let value = to.mean[i]!;
          for (let j = 0; j <= i; j++) value += to.root[i * p + j]! * y[j]!;
          this.#rows[row + i] = value;
        }
        const crossed = this.#rows[row + source]! > 0 !== isAbove;
        for (const [b, i] of errors) {
          const place = row + p + this.#blocks[b]!.first + i;
          this.#rows[place] = -this.#rows[place]!;
        }
        for (const [b, block] of this.#blocks.entries()) {
          block.readDeviations(this.#rows, row, this.#ratiosOf(k), this.#z, k * n + block.first);
          this.#lossOfBlocks[k * B + b] = block.referenceLoss(this.#z, k * n + block.first);
        }
        this.#x.set(this.#rows.subarray(row, row + p), k * p);
        return crossed ? (isAbove ? volume : -volume) : Number.NEGATIVE_INFINITY;
      },
      undo: (k) => {
        this.#x.set(x.subarray(k * p, (k + 1) * p), k * p);
        this.#z.set(z.subarray(k * n, (k + 1) * n), k * n);
        this.#lossOfBlocks.set(losses.subarray(k * B, (k + 1) * B), k * B);
      },
    });
  }

  /** A Metropolis step of every walker. `propose` changes the walker and returns the log ratio of the density factors outside the weight; `undo` reverses the change. */
  #metropolis({ propose, undo }: { propose: (k: number) => number; undo: (k: number) => void }): void {
    const B = this.#blocks.length;
    const proposals = everyWalker(this.walkers);
    const logs = new Float64Array(this.walkers);
    for (let k = 0; k < this.walkers; k++) {
      const [weight, loss] = [this.#logWeight(k), this.#referenceLoss(k)];
      const other = propose(k);
      logs[k] = this.#writeRow(k, k, this.#x, k * this.#p);
      const fall = this.#proposedLoss[k]! + this.#lossOfAllBlocks(k) - loss;
      proposals.floor[k] = weight + (Math.log(1 - this.#stream.uniform()) - other + fall) / this.power;
    }
    this.#weighGaps(proposals, logs, this.#gapParts, this.#gapBound);
    for (let k = 0; k < this.walkers; k++) {
      if (!(logs[k]! > proposals.floor[k]!)) {
        undo(k);
        continue;
      }
      this.#ofSources[k] = this.#proposedOfSources[k]!;
      this.#lossOfSources[k] = this.#proposedLoss[k]!;
      for (let b = 0; b < B; b++) this.#ofBlocks[k * B + b] = this.#proposedOfBlocks[k * B + b]!;
    }
  }

  #ratiosOf(k: number): Float64Array {
    return this.#ratioViews[k]!;
  }

  #lossOfAllBlocks(k: number): number {
    const B = this.#blocks.length;
    let sum = 0;
    for (let b = 0; b < B; b++) sum += this.#lossOfBlocks[k * B + b]!;
    return sum;
  }

  #referenceLoss(k: number): number {
    return this.#lossOfSources[k]! + this.#lossOfAllBlocks(k);
  }

  #logWeight(k: number): number {
    const B = this.#blocks.length;
    let sum = this.#ofSources[k]! + this.#referenceLoss(k);
    for (let b = 0; b < B; b++) sum += this.#ofBlocks[k * B + b]!;
    return sum;
  }

  /** Writes the row of proposal t of walker k with sources from `x` and the walker's own z; returns its log weight without the gap readings. */
  #writeRow(t: number, k: number, x: Float64Array, from: number): number {
    const [p, n, blocks] = [this.#p, this.#n, this.#blocks];
    const [rows, z, priorMean] = [this.#rows, this.#z, this.#priorMean];
    const B = blocks.length;
    const row = t * this.#width;
    const joint = this.#prior;
    let prior = 0;
    for (let i = 0; i < p; i++) {
      const value = x[from + i]!;
      rows[row + i] = value;
      if (!joint) prior -= (value - priorMean[i]!) ** 2 / 2;
    }
    if (joint) prior = logPrior(joint, x.subarray(from, from + p));
    this.#proposedOfSources[t] = prior;
    const loss = this.#lossAt(row);
    this.#proposedLoss[t] = loss;
    let log = prior + loss + this.#lossOfAllBlocks(k);
    const ratios = this.#ratiosOf(k);
    for (let b = 0; b < B; b++) {
      const block = blocks[b]!;
      const own = block.writeErrors(rows, row, z, k * n + block.first, ratios);
      this.#proposedOfBlocks[t * B + b] = own;
      log += own;
    }
    return log;
  }

  /** −log reference density of the sources at the beginning of a row: ½|L⁻¹(x − mean)|². */
  #lossAt(row: number): number {
    const y = this.#whiten(this.#rows, row);
    let sum = 0;
    for (let i = 0; i < this.#p; i++) sum += y[i]! * y[i]!;
    return sum / 2;
  }

  /** L⁻¹(x − mean), in working space. */
  #whiten(x: Float64Array, from: number): Float64Array {
    const p = this.#p;
    const [y, root, mean] = [this.#whitened, this.#root, this.#mean];
    for (let i = 0; i < p; i++) {
      let left = x[from + i]! - mean[i]!;
      for (let j = 0; j < i; j++) left -= root[i * p + j]! * y[j]!;
      y[i] = left / root[i * p + i]!;
    }
    return y;
  }

  /** Adds the gaps to the log weights of proposals, one specimen after the other; a proposal is rejected early if the remaining readings cannot raise it above its threshold. */
  #weighGaps(
    { count, floor }: Pick<EllipseProposals, "count" | "floor">,
    out: Float64Array,
    parts: readonly PlacedGaps[],
    bound: number,
  ): void {
    const B = this.#blocks.length;
    let open = Array.from({ length: count }, (_, t) => t);
    let left = bound;
    const sift = (): void => {
      open = open.filter((t) => {
        if (out[t]! + left > floor[t]!) return true;
        out[t] = Number.NEGATIVE_INFINITY;
        return false;
      });
    };
    sift();
    for (const { block, part } of parts) {
      for (let from = 0; from < open.length; from += BATCH) {
        const size = Math.min(BATCH, open.length - from);
        for (let i = 0; i < size; i++) this.#starts[i] = open[from + i]! * this.#width;
        addGaps(part, this.#rows, { starts: this.#starts, count: size }, this.#found);
        for (let i = 0; i < size; i++) {
          const t = open[from + i]!;
          this.#proposedOfBlocks[t * B + block]! += this.#found[i]!;
          out[t]! += this.#found[i]!;
        }
      }
      left -= part.largest;
      sift();
    }
  }

  /** Evaluates every walker at its current position. */
  #evaluateAll(): void {
    const [n, B] = [this.#n, this.#blocks.length];
    const proposals = everyWalker(this.walkers);
    const logs = new Float64Array(this.walkers);
    for (let k = 0; k < this.walkers; k++) {
      for (const [b, block] of this.#blocks.entries())
        this.#lossOfBlocks[k * B + b] = block.referenceLoss(this.#z, k * n + block.first);
      logs[k] = this.#writeRow(k, k, this.#x, k * this.#p);
    }
    this.#weighGaps(proposals, logs, this.#gapParts, this.#gapBound);
    this.#ofSources.set(this.#proposedOfSources);
    this.#lossOfSources.set(this.#proposedLoss);
    this.#ofBlocks.set(this.#proposedOfBlocks);
  }

  /** Draws sources from the reference into `out`, centred on `about` (0 or 1) times its mean. */
  #drawSources(out: Float64Array, to: number, about: number): void {
    const p = this.#p;
    const normals = this.#whitened;
    for (let i = 0; i < p; i++) normals[i] = this.#stream.normal();
    for (let i = 0; i < p; i++) {
      let sum = about * this.#mean[i]!;
      for (let j = 0; j <= i; j++) sum += this.#root[i * p + j]! * normals[j]!;
      out[to + i] = sum;
    }
  }

  /**
   * Draws deviations z from the reference: with η and ζ standard normal, z = η − G·(A·η + ζ) has mean zero and covariance I − G·A
   * (Y. Hoffman and E. Ribak, Astrophys. J. 380, 1991: a constrained realisation).
   */
  #drawBlock({ reference, first, count }: BlockDensity, out: Float64Array, from: number): void {
    const stream = this.#stream;
    const z = from + first;
    for (let k = 0; k < count; k++) out[z + k] = stream.normal();
    const { readings: r, observed, observedA, observedGain, misfit } = reference;
    if (r === 0) return;
    const m = observed.length;
    for (let i = 0; i < r; i++) {
      let sum = stream.normal();
      const row = i * m;
      for (let j = 0; j < m; j++) sum += observedA[row + j]! * out[z + observed[j]!]!;
      misfit[i] = sum;
    }
    for (let j = 0; j < m; j++) {
      let sum = 0;
      const row = j * r;
      for (let i = 0; i < r; i++) sum += observedGain[row + i]! * misfit[i]!;
      out[z + observed[j]!]! -= sum;
    }
  }
}

/** Two sides of zero of a source: the normal distribution of all sources on each, and the cut-to-cut errors that act in the same places as the source, as [block, error]. */
export interface SideCrossing {
  readonly source: number;
  readonly errors: readonly (readonly [number, number])[];
  readonly above: Side;
  readonly below: Side;
}

/** Mean of the sources, and the Cholesky factor of their covariance, row-major. */
interface Side {
  readonly mean: Float64Array;
  readonly root: Float64Array;
}

const logVolume = (root: Float64Array, p: number): number =>
  diagonalOf(root.subarray(0, p * p)).reduce((sum, pivot) => sum + Math.log(pivot), 0);

/** The gap part of one specimen and the block that it belongs to. */
interface PlacedGaps {
  readonly block: number;
  readonly part: GapPart;
}

/** Every walker proposes its current position; no proposal is rejected early. */
function everyWalker(walkers: number): { count: number; floor: Float64Array } {
  return { count: walkers, floor: new Float64Array(walkers).fill(Number.NEGATIVE_INFINITY) };
}

/** Number of walkers, their random stream, and whether the scatters are unknowns. */
export interface WalkOptions {
  readonly walkers: number;
  readonly stream: RandomStream;
  readonly scatters: boolean;
  /** Ratio of the scatters of the likelihood's job to the stated ones; default 1. */
  readonly overStated?: Float64Array;
}
