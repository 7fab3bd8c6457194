import {
  arcSine,
  curvilinearTrapezoid,
  normal,
  rectangular,
  studentT,
} from "../../../src/uncertainty/distributions.js";
import type { InputQuantity } from "../../../src/uncertainty/inputs.js";
import { lawOfPropagation } from "../../../src/uncertainty/law-of-propagation.js";
import { monteCarlo } from "../../../src/uncertainty/monte-carlo.js";
import { type Check, compareRows, printedTo, published } from "./check.js";

type Three = [number, number, number];
interface GaugeBlock {
  standard: Three;
  difference: Three;
  random: Three;
  systematic: Three;
  expansion: [number, number];
  temperature: [number, number];
  cycle: [number, number];
  expansionDifference: Three;
  temperatureDifference: Three;
  nominal: number;
  results: {
    estimate: number;
    firstOrderUncertainty: number;
    monteCarloUncertainty: number;
    interval: [number, number];
  };
}
interface Weight {
  standard: [estimate: number, u: number];
  drift: number;
  difference: [mean: number, pooled: number, count: number];
  eccentricity: number;
  buoyancy: number;
  results: { estimate: number; standardUncertainty: number; expandedUncertainty: number };
}

/** Two calibrations whose figures are remembered: a gauge block by Monte Carlo, a weight by the law of propagation. */
export const checks = (): Check[] => [...gaugeBlock(), ...weight()];

function gaugeBlock(): Check[] {
  const g = published<GaugeBlock>("jcgm-101-gauge-block");
  const inputs: InputQuantity[] = [
    { name: "standard", distribution: studentT(...g.standard) },
    { name: "difference", distribution: studentT(...g.difference) },
    { name: "random", distribution: studentT(...g.random) },
    { name: "systematic", distribution: studentT(...g.systematic) },
    { name: "expansion", distribution: rectangular(...g.expansion) },
    { name: "temperature", distribution: normal(...g.temperature) },
    { name: "cycle", distribution: arcSine(...g.cycle) },
    { name: "expansion difference", distribution: curvilinearTrapezoid(...g.expansionDifference) },
    { name: "temperature difference", distribution: curvilinearTrapezoid(...g.temperatureDifference) },
  ];
  const length = ([l, d, d1, d2, alpha, theta, cycle, dAlpha, dTheta]: Float64Array): number =>
    l! + d! + d1! + d2! - l! * (dAlpha! * (theta! + cycle!) + alpha! * dTheta!) - g.nominal;
  const law = lawOfPropagation(length, inputs);
  const sample = monteCarlo(length, inputs, { coverageProbability: 0.99 });
  const { estimate, firstOrderUncertainty, monteCarloUncertainty, interval } = g.results;
  return compareRows("jcgm-101-9.5", { document: "JCGM 101:2008", place: "9.5", kind: "remembered" }, [
    ["y", "deviation from the nominal length, nm", estimate, law.estimate, printedTo(0)],
    [
      "u",
      "standard uncertainty, nm, first order",
      firstOrderUncertainty,
      law.standardUncertainty,
      printedTo(0),
    ],
    ["y-mc", "deviation, nm, Monte Carlo", estimate, sample.estimate, printedTo(0)],
    [
      "u-mc",
      "standard uncertainty, nm, Monte Carlo",
      monteCarloUncertainty,
      sample.standardUncertainty,
      printedTo(0),
    ],
    // Itself a sample: the ends of a shortest interval of 99 % scatter by one or two nm.
    ["low", "lower end of the shortest 99 % interval, nm", interval[0], sample.shortest[0], 2],
    ["high", "upper end of the shortest 99 % interval, nm", interval[1], sample.shortest[1], 2],
  ]);
}

function weight(): Check[] {
  const w = published<Weight>("ea-4-02");
  const about = (half: number) => rectangular(-half, half);
  const [mean, pooled, count] = w.difference;
  const inputs: InputQuantity[] = [
    { name: "standard", distribution: normal(...w.standard) },
    { name: "drift", distribution: about(w.drift) },
    { name: "difference", distribution: normal(mean, pooled / Math.sqrt(count)) },
    { name: "eccentricity", distribution: about(w.eccentricity) },
    { name: "buoyancy", distribution: about(w.buoyancy) },
  ];
  const law = lawOfPropagation((x) => x.reduce((sum, v) => sum + v, 0), inputs);
  const { estimate, standardUncertainty, expandedUncertainty } = w.results;
  return compareRows("ea-4-02-s2", { document: "EA-4/02", place: "S2", kind: "remembered" }, [
    ["m", "mass above 10 kg, mg", estimate, law.estimate, printedTo(0)],
    ["u", "standard uncertainty, mg", standardUncertainty, law.standardUncertainty, printedTo(1)],
    [
      "U",
      "expanded uncertainty with k = 2, mg",
      expandedUncertainty,
      2 * law.standardUncertainty,
      printedTo(0),
    ],
  ]);
}
