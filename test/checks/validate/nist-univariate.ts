import { typeA } from "../../../src/uncertainty/type-a.js";
import { type Check, compareRows, published, type Row, toDigits } from "./check.js";
import { NIST } from "./nist-nonlinear.js";

interface Values {
  /** As listed, as a string of digits, or as a first value and then two in turn. */
  y?: number[];
  digits?: string;
  pattern?: [first: number, second: number, third: number];
  count?: number;
}
interface Set extends Values {
  name: string;
  mean: number;
  standardDeviation: number;
  lag1Autocorrelation: number;
}

/**
 * Digits wanted of the standard deviation and autocorrelation: what the decimals' binary form leaves. NumAcc3's million in front costs its 0.1
 * seven digits, NumAcc4's ten millions eight.
 */
const DIGITS: Readonly<Record<string, number>> = {
  NumAcc1: 14,
  NumAcc2: 13,
  NumAcc3: 8,
  NumAcc4: 7,
  Michelso: 12,
  Lew: 14,
  Lottery: 14,
  Mavro: 12,
  PiDigits: 13,
};

/** NIST univariate summary statistics: sums that lose their digits when formed carelessly. */
export function checks(): Check[] {
  return published<{ sets: Set[] }>("nist-univariate").sets.flatMap((set) => {
    const { name, mean, standardDeviation, lag1Autocorrelation } = set;
    const y = valuesOf(set);
    const ours = typeA(y);
    const digits = DIGITS[name]!;
    const rows: Row[] = [
      ["mean", `${name}: mean`, mean, ours.mean, toDigits(name === "PiDigits" ? 14.5 : 15, mean)],
      [
        "sd",
        `${name}: standard deviation`,
        standardDeviation,
        ours.standardDeviation,
        toDigits(digits, standardDeviation),
      ],
      [
        "r1",
        `${name}: lag-1 autocorrelation`,
        lag1Autocorrelation,
        lag1(y, ours.mean),
        toDigits(Math.min(digits, 13), lag1Autocorrelation),
      ],
    ];
    return compareRows(`nist-${name}`, { document: NIST, place: name, kind: "printed" }, rows);
  });
}

function valuesOf({ y, digits, pattern, count }: Values): number[] {
  if (digits !== undefined) return Array.from(digits, Number);
  return pattern && count ? inTurn(pattern, count) : (y ?? []);
}

/** A first value, then two others in turn, `count` in all. */
export const inTurn = ([first, second, third]: readonly number[], count: number): number[] =>
  Array.from({ length: count }, (_, i) => (i === 0 ? first! : i % 2 === 1 ? second! : third!));

function lag1(y: readonly number[], mean: number): number {
  let [products, squares] = [0, 0];
  y.forEach((value, i) => {
    squares += (value - mean) ** 2;
    if (i > 0) products += (value - mean) * (y[i - 1]! - mean);
  });
  return products / squares;
}
