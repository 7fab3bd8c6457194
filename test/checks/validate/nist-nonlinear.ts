import { type LeastSquaresFit, leastSquares } from "../../../src/core/numeric/least-squares.js";
import { type Check, compareRows, type PublishedSource, published, type Row } from "./check.js";

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

/** A regression function and its slopes by the parameters: [f, ∂f/∂b1, ∂f/∂b2, …]. */
export type RegressionModel = (b: ArrayLike<number>, x: number) => number[];

/** b1·(1 − exp(−b2·x)). */
const saturation: RegressionModel = (b, x) => {
  const decay = Math.exp(-b[1]! * x);
  // expm1 keeps the digits where b2·x is small.
  const rise = -Math.expm1(-b[1]! * x);
  return [b[0]! * rise, rise, b[0]! * x * decay];
};

/** exp(−b1·x)/(b2 + b3·x). */
const dampedInverse: RegressionModel = (b, x) => {
  const below = b[1]! + b[2]! * x;
  const f = Math.exp(-b[0]! * x) / below;
  return [f, -x * f, -f / below, (-x * f) / below];
};

/** (b1 + b2·x + b3·x² + b4·x³)/(1 + b5·x + b6·x² + b7·x³). */
const cubicRatio: RegressionModel = (b, x) => {
  const below = 1 + x * (b[4]! + x * (b[5]! + x * b[6]!));
  const f = (b[0]! + x * (b[1]! + x * (b[2]! + x * b[3]!))) / below;
  const powers = [1, x, x * x, x ** 3];
  return [f, ...powers.map((p) => p / below), ...powers.slice(1).map((p) => (-f * p) / below)];
};

/** b1·(x² + b2·x)/(x² + b3·x + b4). */
const quadraticRatio: RegressionModel = (b, x) => {
  const below = x * x + b[2]! * x + b[3]!;
  const above = x * x + b[1]! * x;
  const f = (b[0]! * above) / below;
  return [f, above / below, (b[0]! * x) / below, (-f * x) / below, -f / below];
};

/** b1/(1 + exp(b2 − b3·x))^(1/b4). */
const generalLogistic: RegressionModel = (b, x) => {
  const e = Math.exp(b[1]! - b[2]! * x);
  const f = b[0]! * (1 + e) ** (-1 / b[3]!);
  const byExponent = (-f / b[3]!) * (e / (1 + e));
  return [f, f / b[0]!, byExponent, -x * byExponent, (f * Math.log1p(e)) / b[3]! ** 2];
};

/** (b1/b2)·exp(−½((x − b3)/b2)²). */
const peak: RegressionModel = (b, x) => {
  const z = (x - b[2]!) / b[1]!;
  const f = (b[0]! / b[1]!) * Math.exp((-z * z) / 2);
  return [f, f / b[0]!, ((z * z - 1) * f) / b[1]!, (z * f) / b[1]!];
};

/** NIST's nonlinear sets by the name of their file in `data/published`. */
export const NIST_MODELS: Readonly<Record<string, RegressionModel>> = {
  misra1a: saturation,
  chwirut2: dampedInverse,
  thurber: cubicRatio,
  mgh09: quadraticRatio,
  rat43: generalLogistic,
  eckerle4: peak,
  boxbod: saturation,
};
