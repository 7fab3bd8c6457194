import { typeA } from "../../../src/uncertainty/type-a.js";
import { type Check, compareRows, published, type Row } from "./check.js";

interface Set {
  name: string;
  mean: number;
  standardDeviation: number;
  lag1Autocorrelation: number;
  y: number[];
}

/**
 * Relative tolerance of the standard deviation and autocorrelation: what the decimals' binary form leaves. NumAcc3's
 * million in front costs its 0.1 seven digits.
 */
const RELATIVE: Record<string, number> = { NumAcc1: 1e-14, NumAcc2: 1e-13, NumAcc3: 1e-8, Michelso: 1e-12 };

/** NIST univariate summary statistics: sums that lose their digits when formed carelessly. */
export function checks(): Check[] {
  return published<{ sets: Set[] }>("nist-univariate").sets.flatMap(
    ({ name, mean, standardDeviation, lag1Autocorrelation, y }) => {
      const ours = typeA(y);
      const relative = RELATIVE[name]!;
      const rows: Row[] = [
        ["mean", "mean", mean, ours.mean, 1e-15 * Math.abs(mean)],
        ["sd", "standard deviation", standardDeviation, ours.standardDeviation, relative * standardDeviation],
        [
          "r1",
          "lag-1 autocorrelation",
          lag1Autocorrelation,
          lag1(y, ours.mean),
          relative * Math.abs(lag1Autocorrelation),
        ],
      ];
      return compareRows(`nist-${name}`, `NIST StRD, ${name}`, rows);
    },
  );
}

function lag1(y: readonly number[], mean: number): number {
  let [products, squares] = [0, 0];
  y.forEach((value, i) => {
    squares += (value - mean) ** 2;
    if (i > 0) products += (value - mean) * (y[i - 1]! - mean);
  });
  return products / squares;
}
