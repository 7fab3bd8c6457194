import { type Check, compareRows, published } from "./check.js";
import { straightLine } from "./straight-line.js";

interface File {
  data: [y: number, x: number][];
  certified: {
    B: [number, number];
    standardDeviations: [number, number];
    residualStandardDeviation: number;
    rSquared: number;
    F: number;
    residualSumOfSquares: number;
    degreesOfFreedom: number;
  };
}

/** Certified to 15 digits; ours must share 10. */
const RELATIVE = 1e-10;

/** NIST linear regression, Norris: the project's least squares on a straight line. */
export function checks(): Check[] {
  const { data, certified: c } = published<File>("nist-norris");
  const line = straightLine(data.map(([y, x]) => [x, y]));
  const { sumOfSquares, residualStandardDeviation, degreesOfFreedom } = line.fit;
  const mean = data.reduce((sum, [y]) => sum + y, 0) / data.length;
  const total = data.reduce((sum, [y]) => sum + (y - mean) ** 2, 0);
  const f = (total - sumOfSquares) / (sumOfSquares / degreesOfFreedom);
  const near = (value: number): number => RELATIVE * Math.abs(value);
  return compareRows("nist-Norris", "NIST StRD, Norris", [
    ["B0", "intercept", c.B[0], line.intercept, near(c.B[0])],
    ["B1", "slope", c.B[1], line.slope, near(c.B[1])],
    [
      "s-B0",
      "standard deviation of the intercept",
      c.standardDeviations[0],
      line.standardDeviations[0],
      near(c.standardDeviations[0]),
    ],
    [
      "s-B1",
      "standard deviation of the slope",
      c.standardDeviations[1],
      line.standardDeviations[1],
      near(c.standardDeviations[1]),
    ],
    [
      "s",
      "residual standard deviation",
      c.residualStandardDeviation,
      residualStandardDeviation,
      near(c.residualStandardDeviation),
    ],
    ["ss", "residual sum of squares", c.residualSumOfSquares, sumOfSquares, near(c.residualSumOfSquares)],
    ["dof", "degrees of freedom", c.degreesOfFreedom, degreesOfFreedom, 0],
    ["r2", "R²", c.rSquared, 1 - sumOfSquares / total, near(c.rSquared)],
    ["F", "F statistic", c.F, f, near(c.F)],
  ]);
}
