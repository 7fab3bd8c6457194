import { type LeastSquaresFit, leastSquares } from "../numeric/least-squares.js";
import { type Check, compareRows, type Row } from "./check.js";
import { type PublishedSource, published } from "./published.js";
import { NIST_MODELS, type RegressionModel } from "./support/nist-models.js";

interface File {
  source: PublishedSource;
  starts: number[][];
  certified: {
    b: number[];
    standardDeviations: number[];
    residualSumOfSquares: number;
    residualStandardDeviation: number;
    degreesOfFreedom: number;
  };
  data: [y: number, x: number][];
}

/** Certified to 11 digits. With analytic slopes eight are asked for, with differences the six of NIST's own comparisons. */
const WITH_SLOPES = 1e-8;
const BY_DIFFERENCES = 1e-6;

/** NIST nonlinear regression: the project's least squares from both starts of every set. */
export function checks(): Check[] {
  return Object.entries(NIST_MODELS).flatMap(([name, model]) => setChecks(name, model));
}

function setChecks(name: string, model: RegressionModel): Check[] {
  const { source, starts, certified, data } = published<File>(`nist-${name}`);
  const set = source.place.split(": ")[1]!;
  return starts.flatMap((start, k) => {
    const rows = figures(certified, fitSet(model, data, start, true), start.length);
    const other = figures(certified, fitSet(model, data, start, false), start.length);
    const furthest = Math.max(...other.map(([, , value, ours]) => Math.abs(ours - value) / Math.abs(value)));
    rows.push([
      "differences",
      "largest relative difference of all these when the slopes are differences",
      0,
      furthest,
      BY_DIFFERENCES,
    ]);
    const named = rows.map(
      ([id, quantity, ...rest]): Row => [id, `${set}, start ${k + 1}: ${quantity}`, ...rest],
    );
    return compareRows(`nist-${set}-${k + 1}`, `NIST StRD, ${set}`, named);
  });
}

/** A set fitted from a start, with analytic slopes or by differences. */
export function fitSet(
  model: RegressionModel,
  data: readonly (readonly [y: number, x: number])[],
  start: readonly number[],
  slopes: boolean,
): LeastSquaresFit {
  return leastSquares({
    residuals: (b) => data.map(([y, x]) => model(b, x)[0]! - y),
    ...(slopes ? { jacobian: (b) => data.flatMap(([, x]) => model(b, x).slice(1)) } : {}),
    start,
  });
}

function figures(certified: File["certified"], fit: LeastSquaresFit, unknowns: number): Row[] {
  const { b, standardDeviations, ...rest } = certified;
  const near = (value: number): number => WITH_SLOPES * Math.abs(value);
  const deviations = fit.standardDeviations ?? new Float64Array(unknowns).fill(Number.NaN);
  // A fit that does not say that it converged has no figures.
  const ours = (value: number): number => (fit.converged ? value : Number.NaN);
  return [
    ...b.map((value, i): Row => [`b${i + 1}`, `b${i + 1}`, value, ours(fit.x[i]!), near(value)]),
    ...standardDeviations.map(
      (value, i): Row => [
        `s-b${i + 1}`,
        `standard deviation of b${i + 1}`,
        value,
        ours(deviations[i]!),
        near(value),
      ],
    ),
    [
      "s",
      "residual standard deviation",
      rest.residualStandardDeviation,
      ours(fit.residualStandardDeviation),
      near(rest.residualStandardDeviation),
    ],
    [
      "ss",
      "residual sum of squares",
      rest.residualSumOfSquares,
      ours(fit.sumOfSquares),
      near(rest.residualSumOfSquares),
    ],
    ["dof", "degrees of freedom", rest.degreesOfFreedom, fit.degreesOfFreedom, 0],
  ];
}
