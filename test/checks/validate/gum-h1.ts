import { arcSine, normal, rectangular } from "../../../src/uncertainty/distributions.js";
import type { InputQuantity } from "../../../src/uncertainty/inputs.js";
import { lawOfPropagation } from "../../../src/uncertainty/law-of-propagation.js";
import { type Check, compareRows, number, printedTo, published } from "./check.js";

interface PublishedInput {
  name: string;
  estimate?: number;
  estimateMm?: number;
  standardUncertainty?: number;
  rectangularHalfWidth?: number;
  arcSineHalfWidth?: number;
  degreesOfFreedom: number | "inf";
}
interface File {
  inputs: PublishedInput[];
  printed: {
    lMm: number;
    variance: number;
    standardUncertainty: number;
    effectiveDegreesOfFreedomOfD: number;
    effectiveDegreesOfFreedom: number;
    truncatedDegreesOfFreedom: number;
    coverageFactor99: number;
    expandedUncertainty99: number;
    contributions: Record<"lS" | "d" | "dAlpha" | "dTheta", number>;
  };
  secondOrderPrinted: { dAlphaTheta: number; alphaSdTheta: number; standardUncertainty: number };
  recomputed: { variance: number; effectiveDegreesOfFreedom: number; expandedUncertainty99: number };
}

/** Lengths in nm, temperatures in °C. */
function inputs(given: readonly PublishedInput[]): InputQuantity[] {
  return given.map(
    ({
      name,
      estimate = 0,
      estimateMm,
      standardUncertainty,
      rectangularHalfWidth,
      arcSineHalfWidth,
      degreesOfFreedom,
    }) => {
      const at = estimateMm === undefined ? estimate : 1e6 * estimateMm;
      const nu = number(degreesOfFreedom);
      if (rectangularHalfWidth !== undefined)
        return { name, distribution: rectangular(at - rectangularHalfWidth, at + rectangularHalfWidth, nu) };
      if (arcSineHalfWidth !== undefined)
        return { name, distribution: arcSine(at - arcSineHalfWidth, at + arcSineHalfWidth, nu) };
      return { name, distribution: normal(at, standardUncertainty!, nu) };
    },
  );
}

function length([lS, d, d1, d2, alphaS, theta, cycle, dAlpha, dTheta]: Float64Array): number {
  return lS! + d! + d1! + d2! - lS! * (dAlpha! * (theta! + cycle!) + alphaS! * dTheta!);
}

/** JCGM 100, H.1: end-gauge calibration, first and second order. */
export function checks(): Check[] {
  const { inputs: given, printed, secondOrderPrinted: second, recomputed } = published<File>("gum-h1");
  const options = { coverageProbability: 0.99, truncateDegreesOfFreedom: true };
  const whole = lawOfPropagation(length, inputs(given), options);
  const real = lawOfPropagation(length, inputs(given));
  const difference = lawOfPropagation(([a, b, c]) => a! + b! + c!, inputs(given).slice(1, 4));
  const curved = lawOfPropagation(length, inputs(given), { ...options, secondOrder: true });
  const part = (name: string): number => whole.budget.find((line) => line.name === name)!.contribution;
  const term = (one: string, ...others: string[]): number =>
    Math.hypot(
      ...curved
        .secondOrder!.terms.filter(
          ({ inputs: pair }) => pair.includes(one) && pair.some((name) => others.includes(name)),
        )
        .map((t) => t.standardUncertainty),
    );
  const u2 = whole.standardUncertainty ** 2;
  return compareRows("gum-h1", { document: "JCGM 100:2008", place: "H.1", kind: "printed" }, [
    ["l", "length, mm", printed.lMm, whole.estimate / 1e6, printedTo(6)],
    ["u2", "combined variance, nm² (printed from rounded parts)", printed.variance, u2, 1],
    ["u2-exact", "the same, recomputed", recomputed.variance, u2, printedTo(2), "recomputed"],
    ["u", "standard uncertainty, nm", printed.standardUncertainty, whole.standardUncertainty, printedTo(0)],
    ["lS", "contribution of the standard, nm", printed.contributions.lS, part("lS"), printedTo(0)],
    [
      "d",
      "contribution of the difference, nm",
      printed.contributions.d,
      difference.standardUncertainty,
      printedTo(1),
    ],
    [
      "dAlpha",
      "contribution of the expansion coefficients' difference, nm",
      printed.contributions.dAlpha,
      part("dAlpha"),
      printedTo(1),
    ],
    [
      "dTheta",
      "contribution of the temperatures' difference, nm",
      printed.contributions.dTheta,
      part("dTheta"),
      printedTo(1),
    ],
    [
      "dof-d",
      "effective degrees of freedom of the difference (printed from the rounded 9.7 nm; 25.45 unrounded)",
      printed.effectiveDegreesOfFreedomOfD,
      difference.degreesOfFreedom,
      0.2,
    ],
    [
      "dof",
      "effective degrees of freedom (16.75 unrounded, printed 16.7)",
      printed.effectiveDegreesOfFreedom,
      real.degreesOfFreedom,
      0.06,
    ],
    [
      "dof-exact",
      "the same, recomputed",
      recomputed.effectiveDegreesOfFreedom,
      real.degreesOfFreedom,
      printedTo(3),
      "recomputed",
    ],
    ["dof-truncated", "the same, truncated", printed.truncatedDegreesOfFreedom, whole.degreesOfFreedom, 0],
    ["k", "coverage factor for 99 %", printed.coverageFactor99, whole.coverageFactor, printedTo(2)],
    [
      "U",
      "expanded uncertainty for 99 %, nm (printed from rounded figures)",
      printed.expandedUncertainty99,
      whole.expandedUncertainty,
      1,
    ],
    [
      "U-exact",
      "the same, recomputed",
      recomputed.expandedUncertainty99,
      whole.expandedUncertainty,
      0.02,
      "recomputed",
    ],
    [
      "2nd-a",
      "second-order term of δα and θ, nm",
      second.dAlphaTheta,
      term("dAlpha", "thetaMean", "thetaCycle"),
      printedTo(1),
    ],
    [
      "2nd-b",
      "second-order term of αS and δθ, nm",
      second.alphaSdTheta,
      term("alphaS", "dTheta"),
      printedTo(1),
    ],
    [
      "2nd-u",
      "standard uncertainty with both, nm",
      second.standardUncertainty,
      curved.standardUncertainty,
      printedTo(0),
    ],
  ]);
}
