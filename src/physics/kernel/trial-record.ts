import { at } from "../../core/numeric/dense.js";
import type { CellModel } from "../predict/cell-model.js";
import { type Routine, Tape, type Value } from "./tape.js";

/**
 * How a trial's elementary errors follow from the numbers drawn for it: errors = mean + matrix · draws, in the layout of `errorLayout` (rad, mm).
 * A shared source is one draw whose column has an entry for every error it acts on.
 */
export interface TrialInputs {
  readonly mean: Float64Array;
  /** Errors (rad, mm) per unit of each draw, row-major (error, draw). */
  readonly matrix: Float64Array;
  /** Number of draws for each trial. */
  readonly draws: number;
}

/** Every error an independent normal of the given standard deviation about zero (rad, mm). */
export function independentErrors(deviations: Float64Array): TrialInputs {
  const draws = deviations.length;
  const matrix = new Float64Array(draws * draws);
  for (const [i, deviation] of deviations.entries()) matrix[i * draws + i] = deviation;
  return { mean: new Float64Array(draws), matrix, draws };
}

/** A trial's draws are its elementary errors themselves. */
export const errorsThemselves = (errors: number): TrialInputs =>
  independentErrors(new Float64Array(errors).fill(1));

/** The elementary errors of a trial, written to `errors`. */
export function errorsOf(
  { mean, matrix, draws }: TrialInputs,
  drawn: Float64Array,
  errors: Float64Array,
): void {
  for (let i = 0; i < mean.length; i++) {
    let error = at(mean, i);
    for (let k = 0; k < draws; k++) error += at(matrix, i * draws + k) * at(drawn, k);
    errors[i] = error;
  }
}

/** The same on a tape. */
export function tapeErrors(
  tape: Tape,
  { mean, matrix, draws }: TrialInputs,
  drawn: readonly Value[],
): Value[] {
  return Array.from(mean, (start, i) =>
    tape.add(tape.constant(start), tape.dot(matrix.subarray(i * draws, (i + 1) * draws), drawn)),
  );
}

/** First-order gaps before any piece has moved, directly from the draws: the matrices of the errors and of the gaps are multiplied beforehand. */
export function tapeFreeGaps(
  tape: Tape,
  model: CellModel,
  { mean, matrix, draws }: TrialInputs,
  drawn: readonly Value[],
): Value[] {
  const { direct, seating } = model;
  const errors = mean.length;
  return Array.from(seating.weight, (_, probe) => {
    const row = direct.subarray(probe * errors, (probe + 1) * errors);
    const byDraw = new Float64Array(draws);
    let start = 0;
    for (const [i, slope] of row.entries()) {
      if (slope === 0) continue;
      start += slope * at(mean, i);
      for (let k = 0; k < draws; k++) byDraw[k]! += slope * at(matrix, i * draws + k);
    }
    return tape.add(tape.constant(start), tape.dot(byDraw, drawn));
  });
}

/** Computes a trial's errors from its draws, skipping the zeros of the matrix, because most errors depend on few draws. */
export function sparseErrors({
  mean,
  matrix,
  draws,
}: TrialInputs): (drawn: Float64Array, errors: Float64Array) => void {
  const from = new Int32Array(mean.length + 1);
  const columns: number[] = [];
  const slopes: number[] = [];
  for (let i = 0; i < mean.length; i++) {
    for (let k = 0; k < draws; k++) {
      if (matrix[i * draws + k] === 0) continue;
      columns.push(k);
      slopes.push(at(matrix, i * draws + k));
    }
    from[i + 1] = columns.length;
  }
  const [column, slope] = [Int32Array.from(columns), Float64Array.from(slopes)];
  return (drawn, errors) => {
    for (let i = 0; i < mean.length; i++) {
      let error = at(mean, i);
      for (let k = at(from, i); k < at(from, i + 1); k++) error += at(slope, k) * at(drawn, at(column, k));
      errors[i] = error;
    }
  };
}

/** Allocates positions in a trial's record, the block of memory that holds one trial's numbers while it is seated. */
export class RecordPlan {
  #words = 0;

  /** The first of `count` neighbouring places, in words of 8 bytes. */
  take(count: number): number {
    const place = this.#words;
    this.#words += count;
    return place;
  }

  get words(): number {
    return this.#words;
  }
}

/** Positions of a trial's results: its largest opening and its deepest overlap, mm, both ≥ 0. */
interface ReadOutPlaces {
  readonly widestGap: number;
  readonly deepestPress: number;
}

/** Computes the widest gap and the deepest press from the first `probes` gaps of a record. */
export function readOutRoutine(
  gap: number,
  probes: number,
  plan: RecordPlan,
): { places: ReadOutPlaces; routine: Routine } {
  const places = { widestGap: plan.take(1), deepestPress: plan.take(1) };
  const tape = new Tape();
  let [largest, deepest] = [tape.zero, tape.zero];
  for (let i = 0; i < probes; i++) {
    const here = tape.load(gap + i);
    largest = tape.larger(largest, here);
    deepest = tape.larger(deepest, tape.negate(here));
  }
  tape.store(places.widestGap, largest);
  tape.store(places.deepestPress, deepest);
  return { places, routine: tape.finish("readOut") };
}
