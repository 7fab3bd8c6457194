import { readSpecimen } from "../../inference/likelihood/read-specimen.js";
import { type ReadingLoss, readingLoss } from "../../inference/likelihood/reading-likelihood.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { orNothing } from "../../physics/predict/cell-model.js";
import type { CellRead, Hypothesis } from "./hypothesis.js";
import { Nearby } from "./nearby.js";

/** Where unknowns that would explain the readings lie, and how widely: a place to draw from, not yet a probability. */
export interface SoftMode {
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
  let at = look(problem, start);
  if (at === null) return null;
  let nearby = nearbyOf(at);
  for (let step = 0; step < MOST_STEPS; step++) {
    const direction = nearby.solve(downhill(at));
    if (direction.every((d) => Math.abs(d) <= NEAR_ENOUGH)) break;
    const next = shortened(problem, at, direction);
    if (next === null) break;
    const gain = at.value - next.value;
    at = next;
    nearby = nearbyOf(at);
    if (gain < LEAST_GAIN) break;
  }
  return { nearby, softEvidence: -at.value - nearby.halfLogDeterminant };
}

function look({ job, cells, hypothesis }: SoftModeProblem, unknowns: Float64Array): Look | null {
  const n = unknowns.length;
  const own = cells[0]!.specimen.scatter.length;
  const first = cells.length * own;
  const rows = cells.reduce((sum, { readings }) => sum + readings.length, 0);
  const jacobian = new Float64Array(rows * n);
  const losses: ReadingLoss[] = [];
  const errors = new Float64Array(own);
  let value = unknowns.reduce((sum, v) => sum + (v * v) / 2, 0);
  for (const [c, { specimen, readings, noise, shift }] of cells.entries()) {
    const { scatter, byCause } = hypothesis.slopes[c]!;
    hypothesis.errorsOf(c, unknowns, errors);
    const expected = orNothing(() => readSpecimen(specimen.cell, errors, readings, job));
    if (expected === null) return null;
    for (const [i, { value: gap, slopes }] of expected.entries()) {
      const row = losses.length * n;
      const loss = softened(readings[i]!, gap + shift[i]!, noise[i]!);
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
  const a = jacobian.map((slope, k) => slope * Math.sqrt(losses[Math.floor(k / n)]!.curvature));
  return new Nearby(unknowns, a, losses.length);
}

function downhill({ unknowns, losses, jacobian }: Look): Float64Array {
  const n = unknowns.length;
  const out = unknowns.map((v) => -v);
  for (const [i, { slope }] of losses.entries()) {
    for (let k = 0; k < n; k++) out[k]! -= slope * jacobian[i * n + k]!;
  }
  return out;
}

/** The step, halved until the value falls; `null` when it does not. */
function shortened(problem: SoftModeProblem, from: Look, direction: Float64Array): Look | null {
  for (let share = 1; share >= LEAST_SHARE; share /= 2) {
    const there = look(
      problem,
      from.unknowns.map((v, k) => v + share * direction[k]!),
    );
    if (there !== null && there.value < from.value) return there;
  }
  return null;
}
