import type { TrialInputs } from "./trial-inputs.js";

/** Works out a trial's errors from its draws, leaving out the zeros of the matrix: most errors answer to few draws. */
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
      slopes.push(matrix[i * draws + k]!);
    }
    from[i + 1] = columns.length;
  }
  const [column, slope] = [Int32Array.from(columns), Float64Array.from(slopes)];
  return (drawn, errors) => {
    for (let i = 0; i < mean.length; i++) {
      let error = mean[i]!;
      for (let at = from[i]!; at < from[i + 1]!; at++) error += slope[at]! * drawn[column[at]!]!;
      errors[i] = error;
    }
  };
}
