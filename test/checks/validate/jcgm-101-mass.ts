import { normal, rectangular } from "../../../src/uncertainty/distributions.js";
import { checkFirstOrder } from "../../../src/uncertainty/first-order-check.js";
import { lawOfPropagation } from "../../../src/uncertainty/law-of-propagation.js";
import { monteCarlo } from "../../../src/uncertainty/monte-carlo.js";
import { type Check, compareRows, printedTo, published } from "./check.js";

type Pair = [number, number];
interface Result {
  u: number;
  interval: Pair;
  uExact: number;
  intervalExact: Pair;
}
interface File {
  mass: {
    inputs: {
      mRc: { normal: Pair };
      dmRc: { normal: Pair };
      rhoA: { rectangular: Pair };
      rhoW: { rectangular: Pair };
      rhoR: { rectangular: Pair };
    };
    firstOrder: Result & { estimate: number };
    secondOrder: Result;
    monteCarlo: Result & { estimate: number; estimateExact: number };
  };
}

function mass([mRc, dmRc, rhoA, rhoW, rhoR]: Float64Array): number {
  return (mRc! + dmRc!) * (1 + (rhoA! - 1.2) * (1 / rhoW! - 1 / rhoR!)) - 100_000;
}

/** JCGM 101, 9.3: mass calibration, where the first order misses a product of two zero-mean quantities. */
export function checks(): Check[] {
  const {
    inputs: given,
    firstOrder: first,
    secondOrder: second,
    monteCarlo: mc,
  } = published<File>("jcgm-101").mass;
  const inputs = [
    { name: "mRc", distribution: normal(...given.mRc.normal) },
    { name: "dmRc", distribution: normal(...given.dmRc.normal) },
    { name: "rhoA", distribution: rectangular(...given.rhoA.rectangular) },
    { name: "rhoW", distribution: rectangular(...given.rhoW.rectangular) },
    { name: "rhoR", distribution: rectangular(...given.rhoR.rectangular) },
  ];
  const law = lawOfPropagation(mass, inputs);
  const curved = lawOfPropagation(mass, inputs, { secondOrder: true });
  const sample = monteCarlo(mass, inputs);
  const errors = sample.standardErrors!;
  const width = sample.shortest[1] - sample.shortest[0];
  const printedWidth = mc.interval[1] - mc.interval[0];
  const trust = checkFirstOrder(mass, inputs, { significantDigits: 1, mostTrials: 2_000_000 });
  return compareRows("jcgm-101-9.3", { document: "JCGM 101:2008", place: "9.3", kind: "recomputed" }, [
    ["y1", "estimate, mg, first order", first.estimate, law.estimate, printedTo(4), "printed"],
    [
      "u1",
      "standard uncertainty, mg, first order",
      first.u,
      law.standardUncertainty,
      printedTo(4),
      "printed",
    ],
    ["u1-exact", "the same (recomputed)", first.uExact, law.standardUncertainty, printedTo(6)],
    ["lo1", "lower end, mg, first order", first.interval[0], law.interval[0], printedTo(4), "remembered"],
    ["hi1", "upper end, mg, first order", first.interval[1], law.interval[1], printedTo(4), "remembered"],
    [
      "u2",
      "standard uncertainty, mg, second order",
      second.u,
      curved.standardUncertainty,
      printedTo(4),
      "printed",
    ],
    ["u2-exact", "the same (recomputed)", second.uExact, curved.standardUncertainty, printedTo(6)],
    [
      "lo2",
      "lower end, mg, second order (recomputed)",
      second.intervalExact[0],
      curved.interval[0],
      printedTo(5),
    ],
    [
      "hi2",
      "upper end, mg, second order (recomputed)",
      second.intervalExact[1],
      curved.interval[1],
      printedTo(5),
    ],
    [
      "y-mc",
      "estimate, mg, Monte Carlo, against the exact value",
      mc.estimateExact,
      sample.estimate,
      4 * errors.estimate,
    ],
    [
      "u-mc",
      "standard uncertainty, mg, Monte Carlo, against the exact value",
      mc.uExact,
      sample.standardUncertainty,
      4 * errors.standardUncertainty,
    ],
    [
      "u-mc-printed",
      "the same against the print (itself a sample)",
      mc.u,
      sample.standardUncertainty,
      0.0002,
      "remembered",
    ],
    [
      "lo-mc",
      "lower end, mg, Monte Carlo, symmetric, against the exact value",
      mc.intervalExact[0],
      sample.symmetric[0],
      4 * errors.symmetric[0],
    ],
    [
      "hi-mc",
      "upper end, mg, Monte Carlo, symmetric, against the exact value",
      mc.intervalExact[1],
      sample.symmetric[1],
      4 * errors.symmetric[1],
    ],
    [
      "width",
      "width of the shortest interval, mg, against the print",
      printedWidth,
      width,
      0.001,
      "remembered",
    ],
    [
      "trust",
      "first order trusted to one digit (1 yes, 0 no, −1 undecided)",
      0,
      trust.status === "trusted" ? 1 : trust.status === "undecided" ? -1 : 0,
      0,
    ],
  ]);
}
