import { type Distribution, normal, rectangular } from "../../../src/uncertainty/distributions.js";
import { checkFirstOrder } from "../../../src/uncertainty/first-order-check.js";
import { lawOfPropagation } from "../../../src/uncertainty/law-of-propagation.js";
import { monteCarlo } from "../../../src/uncertainty/monte-carlo.js";
import { type Check, compareRows, printedTo, published, type Row } from "./check.js";

interface Case {
  clause: string;
  u: number;
  uExact?: number;
  printedHalfWidth: number;
  exactHalfWidth: number;
  firstOrderHalfWidth?: number;
  firstOrderExactHalfWidth?: number;
}

const box = (standardDeviation: number): Distribution => {
  const half = standardDeviation * Math.sqrt(3);
  return rectangular(-half, half);
};
const INPUTS: Record<string, readonly Distribution[]> = {
  "9.2.2": [normal(0, 1), normal(0, 1), normal(0, 1), normal(0, 1)],
  "9.2.3": [box(1), box(1), box(1), box(1)],
  "9.2.4": [box(1), box(1), box(1), box(10)],
};
/** Significant digits of u asked for (three where the tables print three, from memory), and whether the law then holds. */
const TRUST: Record<string, { digits: number; trusted: number }> = {
  "9.2.2": { digits: 2, trusted: 1 },
  "9.2.3": { digits: 3, trusted: 0 },
  "9.2.4": { digits: 3, trusted: 0 },
};
const sum = (x: Float64Array): number => x[0]! + x[1]! + x[2]! + x[3]!;

/** JCGM 101, 9.2: sums of four quantities. */
export function checks(): Check[] {
  return published<{ additive: Case[] }>("jcgm-101").additive.flatMap(caseChecks);
}

function caseChecks(example: Case): Check[] {
  const { clause, u, printedHalfWidth, exactHalfWidth, firstOrderHalfWidth, firstOrderExactHalfWidth } =
    example;
  const inputs = INPUTS[clause]!.map((distribution, i) => ({ name: `x${i + 1}`, distribution }));
  const law = lawOfPropagation(sum, inputs);
  const sample = monteCarlo(sum, inputs);
  const half = (sample.symmetric[1] - sample.symmetric[0]) / 2;
  const noise = 4 * Math.max(...sample.standardErrors!.symmetric);
  const decimals = clause === "9.2.4" ? 1 : 2;
  // The intervals of 9.2.4 were not seen.
  const readHalf = clause === "9.2.4" ? "remembered" : "printed";
  const rows: Row[] = [
    [
      "u",
      "standard uncertainty, law of propagation",
      u,
      law.standardUncertainty,
      printedTo(decimals),
      "printed",
    ],
    [
      "u-mc",
      "standard uncertainty, Monte Carlo, 10⁶ trials",
      example.uExact ?? u,
      sample.standardUncertainty,
      4 * sample.standardErrors!.standardUncertainty,
    ],
    [
      "half",
      "half-width of the 95 % interval, Monte Carlo, as printed",
      printedHalfWidth,
      half,
      printedTo(decimals) + noise,
      readHalf,
    ],
    ["half-exact", "the same against the exact value", exactHalfWidth, half, noise],
    ["estimate", "estimate, Monte Carlo", 0, sample.estimate, 4 * sample.standardErrors!.estimate],
  ];
  if (firstOrderHalfWidth !== undefined)
    rows.push([
      "half-law",
      "half-width, law of propagation",
      firstOrderHalfWidth,
      law.expandedUncertainty,
      printedTo(decimals),
      readHalf,
    ]);
  if (firstOrderExactHalfWidth !== undefined)
    rows.push([
      "half-law-exact",
      "the same (recomputed)",
      firstOrderExactHalfWidth,
      law.expandedUncertainty,
      printedTo(4),
    ]);
  const { digits, trusted } = TRUST[clause]!;
  const { status } = checkFirstOrder(sum, inputs, { significantDigits: digits, mostTrials: 2_000_000 });
  rows.push([
    "trust",
    `first order trusted to ${digits} digits (1 yes, 0 no, −1 undecided)`,
    trusted,
    status === "trusted" ? 1 : status === "undecided" ? -1 : 0,
    0,
  ]);
  return compareRows(
    `jcgm-101-${clause}`,
    { document: "JCGM 101:2008", place: clause, kind: "recomputed" },
    rows,
  );
}
