import type { CellModel } from "../../predict/cell-model.js";
import type { Tape } from "../tape/tape.js";
import type { Value } from "../tape/value.js";

/**
 * How a trial's elementary errors follow from the numbers drawn for it: errors = mean + matrix · draws, in the lay-out of `errorLayout` (rad, mm).
 * A shared source is one draw whose column has an entry for every error it acts on.
 */
export interface TrialInputs {
  readonly mean: Float64Array;
  /** Row-major (error, draw). */
  readonly matrix: Float64Array;
  /** Numbers drawn for each trial. */
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
    let error = mean[i]!;
    for (let k = 0; k < draws; k++) error += matrix[i * draws + k]! * drawn[k]!;
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

/** First-order gaps before any piece has moved, straight from the draws: the matrix of the errors and that of the gaps are multiplied beforehand. */
export function tapeFreeGaps(
  tape: Tape,
  { direct, seating }: CellModel,
  { mean, matrix, draws }: TrialInputs,
  drawn: readonly Value[],
): Value[] {
  const errors = mean.length;
  return Array.from(seating.weight, (_, probe) => {
    const row = direct.subarray(probe * errors, (probe + 1) * errors);
    const byDraw = new Float64Array(draws);
    let start = 0;
    for (const [i, slope] of row.entries()) {
      if (slope === 0) continue;
      start += slope * mean[i]!;
      for (let k = 0; k < draws; k++) byDraw[k]! += slope * matrix[i * draws + k]!;
    }
    return tape.add(tape.constant(start), tape.dot(byDraw, drawn));
  });
}
