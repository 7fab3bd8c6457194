import { at, entryOf, innerProduct, minus, plus, rowOf } from "../../core/numeric/dense.js";
import { choleskyInPlace } from "../../core/numeric/linear-algebra.js";
import { normalCdf, normalPdf, normalSurvival } from "../../core/numeric/normal.js";
import { createStream } from "../../core/numeric/random-stream.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { Source } from "../../model/sources.js";
import { orNothing } from "../../physics/predict/cell-model.js";
import { drawCells, type Moves, normalDraws, outcomesOf } from "../decision/drawn-cells.js";
import { JobCells } from "../likelihood/read-specimen.js";
import { instrumentOf } from "../likelihood/reading-likelihood.js";
import { jobSources, type Specimen } from "../likelihood/specimen.js";
import { expectBlock, trialBlocks } from "../likelihood/trial-blocks.js";

/** Linearised readings of one trial in one scenario. Sources are in units of their prior standard deviation. */
interface ScenarioInformation {
  /** ∂μ/∂source divided by the standard deviation of the noise, row-major (reading, source). */
  readonly bySource: Float64Array;
  /** Covariance of the readings due to the pieces' cut-to-cut errors, relative to that of the noise, row-major (reading, reading). */
  readonly shared: Float64Array;
}

/** Readings of one trial, and the information of any subset of them. */
export interface TrialInformation {
  readonly readings: readonly Reading[];
  /** Information of a subset of the readings (given by their indices), one matrix (sources × sources, row-major) for each scenario. */
  of(places: readonly number[]): Float64Array[];
}

/**
 * Expected Fisher information of the readings of one trial about the sources, in each scenario. A value with noise τ has information 1/τ² about its mean, an interval that of
 * `intervalInformation`; readings share the cut-to-cut errors of their pieces, so together they have Bᵀ(I + AAᵀ)⁻¹B, as in the fit. Slopes are taken at cut-to-cut errors drawn for
 * each scenario.
 *
 * @param cells the job's compiled cells, if many trials are evaluated.
 * @param readings readings of one trial; a `value` only marks that the instrument shows one.
 */
export function trialInformation(
  job: Job,
  readings: readonly Reading[],
  scenarios: readonly Float64Array[],
  seed: number,
  cells: JobCells = new JobCells(),
): TrialInformation {
  const [block, ...others] = trialBlocks(job, readings, cells);
  if (block === undefined || others.length > 0)
    throw new RangeError("The readings must be of one trial; in trialInformation.");
  const sources = jobSources(job);
  // Blocks order the readings by bench.
  const blockRow = new Int32Array(readings.length);
  for (const [row, place] of block.places.entries()) blockRow[place] = row;
  // The information of a reading is reduced by the probability that it is a gross mistake.
  const honest = Math.sqrt(1 - job.mistakes);
  const stream = createStream(seed, 8);
  const byScenario = scenarios.map((scenario): ScenarioInformation => {
    const latents = stream.fill(new Float64Array(block.latents));
    const expected = orNothing(() => expectBlock(job, block, scenario, latents));
    const [r, p, n] = [readings.length, sources.length, block.latents];
    const bySource = new Float64Array(r * p);
    const shared = new Float64Array(r * r);
    if (expected === null) return { bySource, shared };
    for (let i = 0; i < r; i++) {
      for (let j = 0; j <= i; j++) {
        const covariance = innerProduct(rowOf(expected.byLatent, i, n), rowOf(expected.byLatent, j, n));
        shared[i * r + j] = covariance;
        shared[j * r + i] = covariance;
      }
    }
    const weights = block.readings.map((reading, i) => {
      const noise = at(block.noise, i);
      if (reading.value !== null) return honest / noise;
      const betweenCutSd = Math.sqrt(entryOf(shared, i, i, r));
      const edges = instrumentOf(job, reading).leaves;
      const variance = equivalentVariance(at(expected.mu, i), noise, betweenCutSd, edges);
      return honest / Math.sqrt(variance);
    });
    for (const [i, weight] of weights.entries()) {
      for (const [c, { priorSd }] of sources.entries())
        bySource[i * p + c] = weight * entryOf(expected.bySource, i, c, p) * priorSd;
    }
    const pairs = shared.map((value, k) => value * (at(weights, Math.floor(k / r)) * at(weights, k % r)));
    return { bySource, shared: pairs };
  });
  return {
    readings,
    of: (places) =>
      byScenario.map((one) =>
        together(
          one,
          places.map((place) => at(blockRow, place)),
          sources.length,
        ),
      ),
  };
}

/** Bᵀ(I + AAᵀ)⁻¹B of some rows. This is the inner loop of planning, run for every subset of readings: entries are read without bounds checks, since row views cost a fifth of its time. */
function together(
  { bySource, shared }: ScenarioInformation,
  rows: readonly number[],
  p: number,
): Float64Array {
  const k = rows.length;
  const r = Math.sqrt(shared.length);
  const factor = new Float64Array(k * k);
  for (const [i, row] of rows.entries()) {
    for (const [j, other] of rows.entries())
      factor[i * k + j] = entryOf(shared, row, other, r) + (i === j ? 1 : 0);
  }
  choleskyInPlace(factor, k, 0);
  const whitened = new Float64Array(k * p);
  const out = new Float64Array(p * p);
  for (const [i, row] of rows.entries()) {
    for (let c = 0; c < p; c++) {
      let sum = bySource[row * p + c]!;
      for (let j = 0; j < i; j++) sum -= factor[i * k + j]! * whitened[j * p + c]!;
      whitened[i * p + c] = sum / factor[i * k + i]!;
    }
    for (let a = 0; a < p; a++) {
      const left = whitened[i * p + a]!;
      if (left !== 0) for (let b = 0; b < p; b++) out[a * p + b]! += left * whitened[i * p + b]!;
    }
  }
  return out;
}

/**
 * Expected (Fisher) information about μ of one reading that only shows between which two edges x ~ N(μ, σ²) fell: Σ (∂P/∂μ)²/P over the intervals that
 * into which the edges divide the line, per unit² of μ. At most 1/σ², the information of a reading of x itself; close to that if the edges are closer together than σ.
 *
 * @param edges in ascending order: the leaves of a feeler gauge
 */
export function intervalInformation(mu: number, sigma: number, edges: readonly number[]): number {
  let sum = 0;
  let low = Number.NEGATIVE_INFINITY;
  for (const edge of [...edges, Number.POSITIVE_INFINITY]) {
    const high = (edge - mu) / sigma;
    // Computed from the nearer tail, so that a small probability keeps its significant digits.
    const chance = low > 0 ? normalSurvival(low) - normalSurvival(high) : normalCdf(high) - normalCdf(low);
    const slope = (density(low) - density(high)) / sigma;
    if (chance >= LEAST_CHANCE) sum += slope ** 2 / chance;
    low = high;
  }
  return sum;
}

/** Intervals with a smaller probability than this are left out of an expectation. */
const LEAST_CHANCE = 1e-14;
const density = (z: number): number => (Number.isFinite(z) ? normalPdf(z) : 0);

/**
 * Noise variance of a direct reading with the same information about μ as the interval, when x varies about μ with standard deviations `betweenCutSd`
 * (the piece) and `noise` (the instrument): 1/J − betweenCutSd², never less than noise². `Infinity` if the interval is certain beforehand.
 */
export function equivalentVariance(
  mu: number,
  noise: number,
  betweenCutSd: number,
  edges: readonly number[],
): number {
  const information = intervalInformation(mu, Math.hypot(noise, betweenCutSd), edges);
  if (information < LEAST_INFORMATION) return Number.POSITIVE_INFINITY;
  return Math.max(1 / information - betweenCutSd ** 2, noise ** 2);
}

const LEAST_INFORMATION = 1e-9;

interface GapWeightOptions {
  /** What is moved before the cells are cut. */
  readonly moves: Moves;
  /** Number of cells drawn; default {@link GAP_CELLS}. */
  readonly draws?: number;
  readonly seed: number;
}

const GAP_CELLS = 200;
/**
 * Step of the differences, in prior standard deviations: about the uncertainty that remains after some trials. The widest gap has a kink wherever another joint becomes the widest, so W is
 * right for uncertainties of about that size (within a quarter, for a tenth to a third of the prior standard deviation) and too small for far smaller ones.
 */
const STEP = 0.1;

/**
 * Sensitivity of the widest gap of the next cells to the sources: W = mean of g·gᵀ over drawn cells, where g is the change of a cell's widest gap with each source (in units of its
 * prior standard deviation), by central differences. tr(W·V) is then the mean variance of the widest gap due to the uncertainty V of the sources, mm².
 */
export function gapWeight(
  job: Job,
  specimen: Specimen,
  sources: readonly Source[],
  { estimates, covariance }: Knowledge,
  { moves, draws = GAP_CELLS, seed }: GapWeightOptions,
): Float64Array {
  const p = sources.length;
  const forecast = drawCells(job, specimen, { estimates, covariance, draws, seed });
  const slopes = sources.map(({ priorSd }, c) => {
    const matters = specimen.matrix.some((x, k) => k % p === c && x !== 0);
    if (!matters) return new Float64Array(draws);
    const worst = (step: number): Float64Array =>
      outcomesOf(forecast, { ...moves, change: moves.change.with(c, at(moves.change, c) + step * priorSd) })
        .widestGap;
    const [up, down] = [worst(STEP), worst(-STEP)];
    return up.map((gap, d) => (gap - at(down, d)) / (2 * STEP));
  });
  return Float64Array.from(slopes.flatMap((a) => slopes.map((b) => innerProduct(a, b) / draws)));
}

/** Distribution of the shared sources: their means (rad, mm) and covariance, row-major. */
interface Knowledge {
  readonly estimates: Float64Array;
  readonly covariance: Float64Array;
}

/** Default number of scenarios over which a plan is averaged. */
export const SCENARIOS = 32;

/**
 * Scenarios: draws of the sources from their current distribution, in antithetic pairs about the mean, since the information of a reading depends on whether a point is sharp or blunt.
 */
export function drawScenarios(
  { estimates, covariance }: Knowledge,
  count: number,
  seed: number,
): Float64Array[] {
  const draw = normalDraws(covariance, createStream(seed, 7));
  let offset = new Float64Array(estimates.length);
  return Array.from({ length: count }, (_, s) => {
    if (s % 2 === 1) return minus(estimates, offset);
    offset = draw();
    return plus(estimates, offset);
  });
}
