import { normal } from "../../../src/uncertainty/distributions.js";
import type { Correlation } from "../../../src/uncertainty/inputs.js";
import { lawOfPropagation } from "../../../src/uncertainty/law-of-propagation.js";
import { monteCarlo } from "../../../src/uncertainty/monte-carlo.js";
import { type Check, compareRows, printedTo, published, type Row } from "./check.js";

type Numbers = number[];
interface File {
  comparisonLoss: {
    scale: number;
    u: number;
    rows: Numbers[];
    printedMonteCarlo: Numbers[];
    firstOrderIntervals: [number, number][];
    secondOrderIntervals: [number, number][];
  };
}

const loss = (x: Float64Array): number => x[0]! ** 2 + x[1]! ** 2;

/** JCGM 101, 9.4: comparison loss in microwave power meter calibration, all six cases. Everything in units of 10⁻⁶. */
export function checks(): Check[] {
  const file = published<File>("jcgm-101").comparisonLoss;
  return file.rows.flatMap((_, k) => caseChecks(file, k));
}

function caseChecks(
  { scale, u, rows, printedMonteCarlo, firstOrderIntervals, secondOrderIntervals }: File["comparisonLoss"],
  k: number,
): Check[] {
  const [r, x1, y1, u1, u2, estimate, exactU, low, high, from, to] = rows[k] as Numbers & { length: 11 };
  const [, , printedLow, printedHigh] = printedMonteCarlo[k]!;
  const inputs = [
    { name: "X1", distribution: normal(x1!, u) },
    { name: "X2", distribution: normal(0, u) },
  ];
  const correlations: Correlation[] = [{ between: ["X1", "X2"], coefficient: r! }];
  const law = lawOfPropagation(loss, inputs, { correlations });
  const curved = lawOfPropagation(loss, inputs, { correlations, secondOrder: true });
  const sample = monteCarlo(loss, inputs, { correlations });
  const errors = sample.standardErrors!;
  const [first, second] = [firstOrderIntervals[k]!, secondOrderIntervals[k]!];
  // The exact figures are rounded to a tenth; a half unit of that joins the sampling error.
  const noise = (error: number): number => 4 * (error / scale) + printedTo(1);
  const table: Row[] = [
    ["y1", "estimate, first order", y1!, law.estimate / scale, printedTo(0)],
    [
      "u1",
      "standard uncertainty, first order",
      u1!,
      law.standardUncertainty / scale,
      printedTo(0),
      x1 === 0.01 && r === 0.9 ? "printed" : "recomputed",
    ],
    ["lo1", "lower end, first order", first[0], law.interval[0] / scale, printedTo(0)],
    ["hi1", "upper end, first order", first[1], law.interval[1] / scale, printedTo(0)],
    ["u2", "standard uncertainty, second order", u2!, curved.standardUncertainty / scale, printedTo(0)],
    ["lo2", "lower end, second order", second[0], curved.interval[0] / scale, printedTo(0)],
    ["hi2", "upper end, second order", second[1], curved.interval[1] / scale, printedTo(0)],
    [
      "y-mc",
      "estimate, Monte Carlo, against the exact value",
      estimate!,
      sample.estimate / scale,
      noise(errors.estimate),
    ],
    [
      "u-mc",
      "standard uncertainty, Monte Carlo, against the exact value",
      exactU!,
      sample.standardUncertainty / scale,
      noise(errors.standardUncertainty),
    ],
    [
      "lo-sym",
      "lower end, symmetric, Monte Carlo, against the exact value",
      from!,
      sample.symmetric[0] / scale,
      noise(errors.symmetric[0]),
    ],
    [
      "hi-sym",
      "upper end, symmetric, Monte Carlo, against the exact value",
      to!,
      sample.symmetric[1] / scale,
      noise(errors.symmetric[1]),
    ],
    // The ends of a shortest interval converge only with the cube root of the number of trials: ten standard errors.
    [
      "lo-short",
      "lower end, shortest, Monte Carlo, against the exact value",
      low!,
      sample.shortest[0] / scale,
      2.5 * noise(errors.shortest[0]),
    ],
    [
      "hi-short",
      "upper end, shortest, Monte Carlo, against the exact value",
      high!,
      sample.shortest[1] / scale,
      2.5 * noise(errors.shortest[1]),
    ],
    [
      "width-printed",
      "width of the shortest interval against the print (itself a sample), 1 %",
      printedHigh! - printedLow!,
      (sample.shortest[1] - sample.shortest[0]) / scale,
      0.01 * (printedHigh! - printedLow!),
      "remembered",
    ],
  ];
  // The clauses that were read: estimate and uncertainty of both cases at x₁ = 0, and the uncertainties of one at 0.010.
  const [printedY, printedU] = printedMonteCarlo[k]!;
  if (x1 === 0 || (x1 === 0.01 && r === 0.9))
    table.push([
      "u-printed",
      "standard uncertainty, Monte Carlo, as printed",
      printedU!,
      sample.standardUncertainty / scale,
      4 * (errors.standardUncertainty / scale) + printedTo(0),
      "printed",
    ]);
  if (x1 === 0)
    table.push([
      "y-printed",
      "estimate, Monte Carlo, as printed",
      printedY!,
      sample.estimate / scale,
      4 * (errors.estimate / scale) + printedTo(0),
      "printed",
    ]);
  return compareRows(
    `jcgm-101-9.4/r=${r},x1=${x1}`,
    { document: "JCGM 101:2008", place: `9.4, r = ${r}, x1 = ${x1}`, kind: "recomputed" },
    table,
  );
}
