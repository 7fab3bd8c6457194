import { choleskyInPlace, choleskySolveInPlace } from "../../../src/core/numeric/linear-algebra.js";
import { minimiseTerms, type Terms } from "../../../src/core/numeric/minimise-terms.js";
import { normalCdf } from "../../../src/core/numeric/normal.js";
import {
  mixtureLoss,
  readingLikelihood,
  readingLoss,
} from "../../../src/inference/likelihood/reading-likelihood.js";
import { type Check, compareRows, published, type Row } from "./check.js";

interface File {
  noise: number;
  readings: { x: number; value?: number; low?: number; high?: number }[];
  maximum: { intercept: number; slope: number; standardErrors: [number, number]; logLikelihood: number };
}

/** A straight line through values, intervals and readings open at one side: the maximum of the likelihood, its width and its height. */
export function checks(): Check[] {
  const { noise, readings, maximum } = published<File>("mixed-readings");
  const read = readings.map(({ x, value, low, high }) => ({
    x,
    reading:
      value === undefined
        ? { value: null, low: low ?? Number.NEGATIVE_INFINITY, high: high ?? Number.POSITIVE_INFINITY }
        : { value, low: null, high: null },
  }));
  const terms = ([a, b]: Float64Array): Terms => {
    const losses = read.map(({ x, reading }) => readingLoss(reading, a! + b! * x, noise));
    return {
      value: losses.reduce((sum, loss) => sum + loss.value, 0),
      slope: Float64Array.from(losses, ({ slope }) => slope),
      curvature: Float64Array.from(losses, ({ curvature }) => curvature),
      jacobian: Float64Array.from(read.flatMap(({ x }) => [1, x])),
    };
  };
  const found = minimiseTerms(terms, [0, 0]);
  const [a, b] = found.converged ? [found.x[0]!, found.x[1]!] : [Number.NaN, Number.NaN];
  const errors = standardErrors(found.terms);
  const sampled = read.reduce(
    (sum, { x, reading }) =>
      sum + readingLikelihood({ ...reading, what: "thickness" }, noise, 0).at(a + b * x),
    0,
  );
  const near = (value: number): number => 1e-10 * Math.abs(value);
  const rows: Row[] = [
    ["a", "intercept", maximum.intercept, a, near(maximum.intercept)],
    ["b", "slope", maximum.slope, b, near(maximum.slope)],
    [
      "s-a",
      "its standard error: intercept",
      maximum.standardErrors[0],
      errors[0]!,
      near(maximum.standardErrors[0]),
    ],
    [
      "s-b",
      "its standard error: slope",
      maximum.standardErrors[1],
      errors[1]!,
      near(maximum.standardErrors[1]),
    ],
    ["logL", "log-likelihood", maximum.logLikelihood, -found.terms.value, near(maximum.logLikelihood)],
    [
      "logL-sampler",
      "the same as the sampler has it",
      maximum.logLikelihood,
      sampled,
      // The sampler interpolates in a table that is within 1e-6 for each reading.
      1e-6,
    ],
  ];
  const place = "an arbitrary-precision library, 40 digits";
  return [...compareRows("mixed", { document: "mpmath", place, kind: "other library" }, rows), ...mistakes()];
}

/** Readings of which one in twenty is a gross mistake, uniform over 1 mm: the sum of both likelihoods, as the mode and as the sampler have it. */
function mistakes(): Check[] {
  const [share, tau, mu] = [0.05, 0.2, 0.1];
  const density = (z: number): number => Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
  const cases = [
    { name: "a value", value: 0.3, low: null, high: null, good: density(1) / tau, flat: 1 },
    { name: "a value far off", value: 1.9, low: null, high: null, good: density(9) / tau, flat: 1 },
    { name: "an interval", value: null, low: 0.1, high: 0.3, good: normalCdf(1) - 0.5, flat: 0.2 },
    {
      name: "an open interval",
      value: null,
      low: Number.NEGATIVE_INFINITY,
      high: 0.3,
      good: normalCdf(1),
      flat: 0.5,
    },
  ];
  const rows = cases.flatMap(({ name, good, flat, ...read }, k): Row[] => {
    const reading = { ...read, what: "thickness" } as const;
    const known = Math.log((1 - share) * good + share * flat);
    return [
      [
        `${k}-mode`,
        `log likelihood of ${name} that may be a mistake`,
        known,
        -mixtureLoss(reading, mu, tau, share).value,
        1e-12,
      ],
      [
        `${k}-sampler`,
        "the same as the sampler has it",
        known,
        readingLikelihood(reading, tau, share).at(mu),
        1e-12,
      ],
    ];
  });
  return compareRows("mistakes", { document: "closed forms", place: "by hand", kind: "closed form" }, rows);
}

function standardErrors({ curvature, jacobian }: Terms): [number, number] {
  const information = new Float64Array(4);
  for (const [i, c] of curvature.entries())
    for (const k of [0, 1, 2, 3])
      information[k]! += c * jacobian[2 * i + Math.floor(k / 2)]! * jacobian[2 * i + (k % 2)]!;
  choleskyInPlace(information, 2);
  return [0, 1].map((i) => {
    const unit = new Float64Array(2);
    unit[i] = 1;
    choleskySolveInPlace(information, 2, unit);
    return Math.sqrt(unit[i]!);
  }) as [number, number];
}
