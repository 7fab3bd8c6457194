import { typeA } from "../../../src/uncertainty/type-a.js";
import { type Check, compareRows, published } from "./check.js";

interface File {
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

/** 196 in front of a scatter of 0.1, three decimals lost to the offset. */
const RELATIVE = 1e-11;

/** NIST analysis of variance, SiRstv, from Type A evaluations group by group. */
export function checks(): Check[] {
  const { data, certified: c } = published<File>("nist-sirstv");
  const groups = [...new Set(data.map(([, group]) => group))].map((g) =>
    typeA(data.filter(([, group]) => group === g).map(([y]) => y)),
  );
  const means = typeA(groups.map((group) => group.mean));
  const size = groups[0]!.readings;
  const between = means.standardDeviation ** 2 * means.degreesOfFreedom * size;
  const within = groups.reduce(
    (sum, group) => sum + group.standardDeviation ** 2 * group.degreesOfFreedom,
    0,
  );
  const dof = groups.reduce((sum, group) => sum + group.degreesOfFreedom, 0);
  const f = between / means.degreesOfFreedom / (within / dof);
  const near = (value: number): number => RELATIVE * value;
  return compareRows("nist-SiRstv", "NIST StRD, SiRstv", [
    ["ssb", "sum of squares between", c.betweenSumOfSquares, between, near(c.betweenSumOfSquares)],
    ["dfb", "degrees of freedom between", c.betweenDegreesOfFreedom, means.degreesOfFreedom, 0],
    ["ssw", "sum of squares within", c.withinSumOfSquares, within, near(c.withinSumOfSquares)],
    ["dfw", "degrees of freedom within", c.withinDegreesOfFreedom, dof, 0],
    ["F", "F statistic", c.F, f, near(c.F)],
    ["r2", "R²", c.rSquared, between / (between + within), near(c.rSquared)],
    [
      "s",
      "residual standard deviation",
      c.residualStandardDeviation,
      Math.sqrt(within / dof),
      near(c.residualStandardDeviation),
    ],
  ]);
}
