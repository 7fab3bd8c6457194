import { at } from "../../../src/core/numeric/dense.js";
import { type LeastSquaresFit, leastSquares } from "../../../src/core/numeric/least-squares.js";
import { type Check, compareRows, published, type Row, toDigits } from "./check.js";
import { NIST } from "./nist-nonlinear.js";

/** Degrees of freedom, sum of squares, mean square. */
type Line = [degreesOfFreedom: number, sumOfSquares: number, meanSquare: number];
interface Set {
  name: string;
  /** Power of x of the first parameter: 0, or 1 where there is no constant. */
  firstPower: number;
  B: number[];
  standardDeviations: number[];
  residualStandardDeviation: number;
  rSquared: number;
  regression: Line;
  residual: Line;
  F: number | null;
  data: number[][];
}
interface Norris {
  data: number[][];
  certified: {
    B: number[];
    standardDeviations: number[];
    residualStandardDeviation: number;
    rSquared: number;
    F: number;
    residualSumOfSquares: number;
    degreesOfFreedom: number;
  };
}

/**
 * Digits wanted of 15 certified. What a set loses is what double precision leaves at its condition number: about 8 of the tenth-degree polynomial Filip,
 * 9 of the fifth-degree polynomials of Wampler (whose residuals grow from set to set, and with them what of y is not the polynomial's), 10 of the others.
 */
const DIGITS: Readonly<Record<string, number>> = {
  Filip: 6.5,
  Longley: 9,
  Wampler1: 8,
  Wampler2: 9,
  Wampler3: 8,
  Wampler4: 7,
  Wampler5: 5.5,
};
const ELSE = 10;

/** NIST linear regression: the project's least squares on lines, polynomials and a table of six predictors. */
export function checks(): Check[] {
  return [norris(), ...published<{ sets: Set[] }>("nist-linear").sets].flatMap(setChecks);
}

function norris(): Set {
  const { data, certified } = published<Norris>("nist-norris");
  const { residualSumOfSquares: ss, degreesOfFreedom, ...rest } = certified;
  return {
    name: "Norris",
    firstPower: 0,
    data,
    ...rest,
    regression: [1, certified.F * (ss / degreesOfFreedom), certified.F * (ss / degreesOfFreedom)],
    residual: [degreesOfFreedom, ss, ss / degreesOfFreedom],
  };
}

function setChecks(set: Set): Check[] {
  const {
    name,
    B,
    standardDeviations,
    residualStandardDeviation: s,
    rSquared,
    regression,
    residual,
    F,
  } = set;
  const fit = linearFit(set);
  const digits = DIGITS[name] ?? ELSE;
  const exact = s === 0;
  // Of a set that fits exactly, what is left is rounding: judged by the size of y.
  const size = Math.max(...set.data.map(([y]) => Math.abs(y!)));
  const near = (known: number): number => (exact && known === 0 ? 1e-9 * size : toDigits(digits, known));
  const mean = set.firstPower === 0 ? set.data.reduce((sum, [y]) => sum + y!, 0) / set.data.length : 0;
  const total = set.data.reduce((sum, [y]) => sum + (y! - mean) ** 2, 0);
  const explained = total - fit.sumOfSquares;
  const ours = (value: number | undefined): number => (fit.converged ? (value ?? Number.NaN) : Number.NaN);
  const of = (k: number) => `B${k + set.firstPower}`;
  const rows: Row[] = [
    ...B.map((b, k): Row => [of(k), `${name}: ${of(k)}`, b, ours(fit.x[k]), near(b)]),
    ...standardDeviations.map(
      (sd, k): Row => [
        `s-${of(k)}`,
        `${name}: standard deviation of ${of(k)}`,
        sd,
        ours(fit.standardDeviations?.[k]),
        near(sd),
      ],
    ),
    ["s", `${name}: residual standard deviation`, s, ours(fit.residualStandardDeviation), near(s)],
    ["r2", `${name}: R²`, rSquared, ours(explained / total), near(rSquared)],
    ["ss", `${name}: residual sum of squares`, residual[1], ours(fit.sumOfSquares), near(residual[1])],
    ["dof", `${name}: residual degrees of freedom`, residual[0], fit.degreesOfFreedom, 0],
  ];
  // Norris's print of the regression's own sum is not at hand; of the sets that fit exactly F is infinite.
  if (name !== "Norris")
    rows.push([
      "ss-regression",
      `${name}: sum of squares of the regression`,
      regression[1],
      ours(explained),
      near(regression[1]),
    ]);
  if (F !== null) {
    const ratio = explained / regression[0] / (fit.sumOfSquares / fit.degreesOfFreedom);
    rows.push(["F", `${name}: F statistic`, F, ours(ratio), near(F)]);
  }
  const plain = linearFit(set, false);
  const off = B.map((b, k) => Math.abs((plain.converged ? plain.x[k]! : Number.NaN) - b) / near(b));
  rows.push([
    "differences",
    `${name}: largest difference of a parameter when no slopes are given, in tolerances`,
    0,
    Math.max(...off),
    1,
    "self-consistency",
  ]);
  return compareRows(`nist-${name}`, { document: NIST, place: name, kind: "printed" }, rows);
}

/** With exact slopes or without; each row of the design is the powers of x, or what stands beside y. */
function linearFit({ data, B, firstPower, name }: Set, slopes = true): LeastSquaresFit {
  const design = data.map(([, ...x]) =>
    name === "Longley" ? [1, ...x] : B.map((_, k) => at(x, 0) ** (k + firstPower)),
  );
  return leastSquares({
    residuals: (b) => data.map(([y], i) => at(design, i).reduce((sum, v, k) => sum + v * b[k]!, 0) - y!),
    ...(slopes ? { jacobian: () => design.flat() } : {}),
    start: B.map(() => 0),
  });
}
