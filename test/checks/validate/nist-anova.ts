import { analysisOfVariance, crossedTable } from "../../../src/features/gauge/analysis-of-variance.js";
import { type Check, compareRows, published, type Row, toDigits } from "./check.js";
import { NIST } from "./nist-nonlinear.js";
import { inTurn } from "./nist-univariate.js";

/** Degrees of freedom, sum of squares, mean square. */
type Line = [degreesOfFreedom: number, sumOfSquares: number, meanSquare: number];
interface Certified {
  name: string;
  leadingDigits: number;
  between: Line;
  within: Line;
  F: number;
  rSquared: number;
  residualStandardDeviation: number;
}
interface Set extends Certified {
  groups?: number[][];
  patterns?: [number, number, number][];
  replicates?: number;
}
interface SiRstv {
  data: [y: number, group: number][];
  certified: {
    betweenSumOfSquares: number;
    betweenDegreesOfFreedom: number;
    withinSumOfSquares: number;
    withinDegreesOfFreedom: number;
    F: number;
    rSquared: number;
    residualStandardDeviation: number;
  };
}

/**
 * Digits wanted: what the decimals' binary form leaves of differences of 0.1. With seven constant leading digits in front nine digits are left, with thirteen
 * three and a half (of 3.9 attainable); without, all but rounding.
 */
const DIGITS: Readonly<Record<string, number>> = {
  SiRstv: 11,
  AtmWtAg: 8,
  SmLs01: 13,
  SmLs02: 13,
  SmLs03: 12,
  SmLs04: 9,
  SmLs05: 9,
  SmLs06: 9,
  SmLs07: 3,
  SmLs08: 3,
  SmLs09: 3,
};

/** NIST one-way analysis of variance, by that of the gauge study: a treatment is a part, and one reader read them all. */
export function checks(): Check[] {
  const { data, certified: c } = published<SiRstv>("nist-sirstv");
  const numbers = [...new Set(data.map(([, group]) => group))];
  const sirstv: Set = {
    name: "SiRstv",
    leadingDigits: 3,
    groups: numbers.map((g) => data.filter(([, group]) => group === g).map(([y]) => y)),
    between: [
      c.betweenDegreesOfFreedom,
      c.betweenSumOfSquares,
      c.betweenSumOfSquares / c.betweenDegreesOfFreedom,
    ],
    within: [c.withinDegreesOfFreedom, c.withinSumOfSquares, c.withinSumOfSquares / c.withinDegreesOfFreedom],
    F: c.F,
    rSquared: c.rSquared,
    residualStandardDeviation: c.residualStandardDeviation,
  };
  return [sirstv, ...published<{ sets: Set[] }>("nist-anova").sets].flatMap(setChecks);
}

function setChecks(set: Set): Check[] {
  const { name, between, within, F, rSquared, residualStandardDeviation: s } = set;
  const { parts, repeats } = analysisOfVariance(
    crossedTable(
      groupsOf(set).flatMap((group, g) => group.map((value) => ({ part: String(g), reader: "", value }))),
    ),
  );
  const near = (known: number): number => toDigits(DIGITS[name]!, known);
  const share = parts.sumOfSquares / (parts.sumOfSquares + repeats.sumOfSquares);
  const rows: Row[] = [
    ["ssb", `${name}: sum of squares between`, between[1], parts.sumOfSquares, near(between[1])],
    ["dfb", `${name}: degrees of freedom between`, between[0], parts.degreesOfFreedom, 0],
    ["ssw", `${name}: sum of squares within`, within[1], repeats.sumOfSquares, near(within[1])],
    ["dfw", `${name}: degrees of freedom within`, within[0], repeats.degreesOfFreedom, 0],
    ["F", `${name}: F statistic`, F, parts.f ?? Number.NaN, near(F)],
    ["r2", `${name}: R²`, rSquared, share, near(rSquared)],
    ["s", `${name}: residual standard deviation`, s, Math.sqrt(repeats.meanSquare), near(s)],
  ];
  return compareRows(`nist-${name}`, { document: NIST, place: name, kind: "printed" }, rows);
}

const groupsOf = ({ groups, patterns = [], replicates = 0 }: Set): number[][] =>
  groups ?? patterns.map((pattern) => inTurn(pattern, replicates));
