import { refuse } from "../../../src/core/errors.js";
import { type LeastSquaresFit, leastSquares } from "../../../src/core/numeric/least-squares.js";

/** y = intercept + slope·x fitted by the project's own solver, with what the published examples print of it. */
export interface StraightLine {
  readonly intercept: number;
  readonly slope: number;
  readonly standardDeviations: readonly [number, number];
  readonly correlation: number;
  readonly covariance: Float64Array;
  readonly fit: LeastSquaresFit;
}

/**
 * Straight line through [x, y] pairs by least squares.
 * @throws RangeError when the x do not determine a line
 */
export function straightLine(pairs: readonly (readonly [x: number, y: number])[]): StraightLine {
  const fit = leastSquares({
    residuals: ([a, b]) => pairs.map(([x, y]) => a! + b! * x - y),
    jacobian: () => pairs.flatMap(([x]) => [1, x]),
    start: [0, 0],
  });
  const { covariance, standardDeviations } = fit;
  if (!covariance || !standardDeviations)
    return refuse("these points determine no line", "two different x at least", pairs.length, "straightLine");
  const [sa, sb] = [standardDeviations[0]!, standardDeviations[1]!];
  return {
    intercept: fit.x[0]!,
    slope: fit.x[1]!,
    standardDeviations: [sa, sb],
    correlation: covariance[1]! / (sa * sb),
    covariance,
    fit,
  };
}
