import { addScaled, at, innerProduct, rowOf, rowsOf } from "../../core/numeric/dense.js";
import { choleskyInPlace, choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";
import { readSpecimen } from "../../inference/likelihood/read-specimen.js";
import { type ReadingLoss, readingLoss } from "../../inference/likelihood/reading-likelihood.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { orNothing } from "../../physics/predict/cell-model.js";
import type { CellRead, Hypothesis } from "./causes.js";

/** Where unknowns that would explain the readings lie, and how widely: a place to draw from, not yet a probability. */
interface SoftMode {
  readonly nearby: Nearby;
  /** Log of the likelihood with the readings softened, in Laplace's approximation. */
  readonly softEvidence: number;
}

export interface SoftModeProblem {
  readonly job: Job;
  readonly cells: readonly CellRead[];
  readonly hypothesis: Hypothesis;
}

const MOST_STEPS = 12;
/** No unknown need be known better than this share of its standard deviation: draws are spread about it anyway. */
const NEAR_ENOUGH = 0.1;
const LEAST_SHARE = 0.05;
const LEAST_GAIN = 0.1;
/** A reading with one end open is taken this many times as vague: its cliff would catch the search. */
const SOFTER = 2;

interface Look {
  readonly unknowns: Float64Array;
  readonly value: number;
  readonly losses: readonly ReadingLoss[];
  /** ∂reading/∂unknown, row-major. */
  readonly jacobian: Float64Array;
}

/**
 * The most probable unknowns under softened readings, from a start, by damped Gauss–Newton. An interval counts as its middle with the spread of a uniform one added:
 * so the normal laid about the mode covers the interval instead of hugging the end that the search came in by.
 */
export function softMode(problem: SoftModeProblem, start: Float64Array): SoftMode | null {
  let here = look(problem, start);
  if (here === null) return null;
  let nearby = nearbyOf(here);
  for (let step = 0; step < MOST_STEPS; step++) {
    const direction = nearby.solve(downhill(here));
    if (direction.every((d) => Math.abs(d) <= NEAR_ENOUGH)) break;
    const next = shortened(problem, here, direction);
    if (next === null) break;
    const gain = here.value - next.value;
    here = next;
    nearby = nearbyOf(here);
    if (gain < LEAST_GAIN) break;
  }
  return { nearby, softEvidence: -here.value - nearby.halfLogDeterminant };
}

function look({ job, cells, hypothesis }: SoftModeProblem, unknowns: Float64Array): Look | null {
  const n = unknowns.length;
  const own = at(cells, 0).specimen.betweenCutSd.length;
  const first = cells.length * own;
  const rows = cells.reduce((sum, { readings }) => sum + readings.length, 0);
  const jacobian = new Float64Array(rows * n);
  const losses: ReadingLoss[] = [];
  const errors = new Float64Array(own);
  let value = unknowns.reduce((sum, v) => sum + (v * v) / 2, 0);
  for (const [c, { specimen, readings, noise, bias }] of cells.entries()) {
    const { scatter, byCause } = at(hypothesis.slopes, c);
    hypothesis.errorsOf(c, unknowns, errors);
    const expected = orNothing(() => readSpecimen(specimen.reader, errors, readings, job));
    if (expected === null) return null;
    for (const [i, { value: gap, slopes }] of expected.entries()) {
      const row = losses.length * n;
      const loss = softened(at(readings, i), gap + at(bias, i), at(noise, i));
      losses.push(loss);
      value += loss.value;
      for (let e = 0; e < own; e++) {
        jacobian[row + c * own + e] = slopes[e]! * scatter[e]!;
        for (const [k, direction] of byCause.entries()) {
          jacobian[row + first + k]! += slopes[e]! * direction[e]!;
        }
      }
    }
  }
  return { unknowns, value, losses, jacobian };
}

function softened(reading: Reading, gap: number, noise: number): ReadingLoss {
  const { value, low, high } = reading;
  if (value !== null) return readingLoss(reading, gap, noise);
  if (!Number.isFinite(low) || !Number.isFinite(high)) return readingLoss(reading, gap, SOFTER * noise);
  const width = high! - low!;
  const spread = Math.sqrt(noise ** 2 + width ** 2 / 12);
  return readingLoss({ value: (low! + high!) / 2, low: null, high: null }, gap, spread);
}

function nearbyOf({ unknowns, losses, jacobian }: Look): Nearby {
  const n = unknowns.length;
  const a = jacobian.map((slope, k) => slope * Math.sqrt(at(losses, Math.floor(k / n)).curvature));
  return new Nearby(unknowns, a, losses.length);
}

function downhill({ unknowns, losses, jacobian }: Look): Float64Array {
  const n = unknowns.length;
  const out = unknowns.map((v) => -v);
  for (const [i, { slope }] of losses.entries()) {
    addScaled(out, rowOf(jacobian, i, n), -slope);
  }
  return out;
}

/** The step, halved until the value falls; `null` when it does not. */
function shortened(problem: SoftModeProblem, from: Look, direction: Float64Array): Look | null {
  for (let share = 1; share >= LEAST_SHARE; share /= 2) {
    const there = look(
      problem,
      from.unknowns.map((v, k) => v + share * at(direction, k)),
    );
    if (there !== null && there.value < from.value) return there;
  }
  return null;
}

/** As if the readings told this share of what they do: their intervals leave more room than a normal laid about their middle. */
const SCALES = [1, 0.7, 0.5] as const;

interface Width {
  readonly scale: number;
  /** Cholesky factor of I + scale²·AAᵀ, row-major. */
  readonly factor: Float64Array;
  /** ½ log det(I + scale²·AᵀA). */
  readonly halfLogDeterminant: number;
}

/**
 * Normals about `centre` with covariance (I + s²AᵀA)⁻¹, A of few rows, s = 1 and smaller, in equal parts: what standard normals become when a few linear readings of them are taken,
 * and somewhat wider. Everything is done in the space of the readings: (I + AᵀA)⁻¹v = v − Aᵀ(I + AAᵀ)⁻¹Av.
 */
export class Nearby {
  readonly centre: Float64Array;
  /** Rows of A. */
  readonly #rows: readonly Float64Array[];
  readonly #widths: readonly Width[];
  readonly #seen: Float64Array;
  readonly #away: Float64Array;

  /** @param a row-major (row, unknown). */
  constructor(centre: Float64Array, a: Float64Array, rows: number) {
    this.centre = centre;
    this.#rows = rowsOf(a, centre.length);
    this.#seen = new Float64Array(rows);
    this.#away = new Float64Array(centre.length);
    const gram = gramOf(this.#rows);
    this.#widths = SCALES.map((scale) => widthOf(scale, gram, rows));
  }

  /** ½ log det(I + AᵀA). */
  get halfLogDeterminant(): number {
    return at(this.#widths, 0).halfLogDeterminant;
  }

  /** A·v, in memory that the next call writes over. */
  #times(v: Float64Array): Float64Array {
    for (const [i, row] of this.#rows.entries()) this.#seen[i] = innerProduct(row, v);
    return this.#seen;
  }

  #addTransposed(pull: Float64Array, share: number, v: Float64Array): void {
    for (const [i, row] of this.#rows.entries()) addScaled(v, row, share * at(pull, i));
  }

  /** (I + s²AᵀA)⁻¹v, written over v; by default with all that the readings tell, s = 1. */
  solve(v: Float64Array, { scale, factor }: Width = at(this.#widths, 0)): Float64Array {
    const inReadings = this.#times(v);
    choleskySolveInPlace(factor, this.#rows.length, inReadings);
    this.#addTransposed(inReadings, -(scale ** 2), v);
    return v;
  }

  draw(stream: RandomStream): Float64Array {
    const width = at(this.#widths, stream.integer(this.#widths.length));
    const v = stream.fill(new Float64Array(this.centre.length));
    this.#addTransposed(stream.fill(new Float64Array(this.#rows.length)), width.scale, v);
    this.solve(v, width);
    addScaled(v, this.centre, 1);
    return v;
  }

  /** Log density, without the (2π)^(−n/2) that every density of n unknowns has. */
  logDensity(x: Float64Array): number {
    const d = this.#away;
    d.set(x);
    addScaled(d, this.centre, -1);
    const far = innerProduct(d, d);
    const inReadings = this.#times(d);
    const seen = innerProduct(inReadings, inReadings);
    let [most, sum] = [Number.NEGATIVE_INFINITY, 0];
    for (const { scale, halfLogDeterminant } of this.#widths) {
      const log = halfLogDeterminant - (far + scale ** 2 * seen) / 2;
      sum = log > most ? sum * Math.exp(most - log) + 1 : sum + Math.exp(log - most);
      most = Math.max(most, log);
    }
    return most + Math.log(sum / this.#widths.length);
  }
}

/** AAᵀ, from the rows of A. */
const gramOf = (rows: readonly Float64Array[]): Float64Array =>
  Float64Array.from(rows.flatMap((one) => rows.map((other) => innerProduct(one, other))));

function widthOf(scale: number, gram: Float64Array, rows: number): Width {
  const factor = gram.map((value, k) => scale ** 2 * value + (k % (rows + 1) === 0 ? 1 : 0));
  choleskyInPlace(factor, rows, 0);
  let halfLogDeterminant = 0;
  for (let i = 0; i < rows; i++) halfLogDeterminant += Math.log(at(factor, i * rows + i));
  return { scale, factor, halfLogDeterminant };
}
