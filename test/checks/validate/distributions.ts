import { normalCdf, normalQuantile, normalSurvival } from "../../../src/core/numeric/normal.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { incompleteBeta, logGamma } from "../../../src/core/numeric/special-functions.js";
import { fSurvival, studentTParts, tQuantile } from "../../../src/core/numeric/student-t.js";
import {
  arcSine,
  curvilinearTrapezoid,
  type Distribution,
  normal,
  rectangular,
  studentT,
  trapezoidal,
  triangular,
} from "../../../src/uncertainty/distributions.js";
import { typeA } from "../../../src/uncertainty/type-a.js";
import { type Check, compareRows, type Origin, printedTo, published, type Row, toDigits } from "./check.js";

const CLOSED: Origin = { document: "closed forms", place: "by hand", kind: "closed form" };

/** Distribution functions, quantiles and draws. */
export const checks = (): Check[] => [
  ...normalTable(),
  ...betaTails(),
  ...compareRows("special", CLOSED, [...logGammas(), ...fTails(), ...tTails()]),
  ...compareRows("distribution", CLOSED, [...quantiles(), ...draws()]),
];

function normalTable(): Check[] {
  const { rows } = published<{ rows: [x: number, print: string][] }>("normal-table");
  const place = "table 26.1";
  return compareRows(
    "normal",
    { document: "Abramowitz and Stegun, Handbook of Mathematical Functions", place, kind: "printed" },
    rows.flatMap(([x, print]): Row[] => {
      const p = Number(print);
      const digit = printedTo(print.length - 2);
      return [
        [`p-${x}`, `P(X ≤ ${x})`, p, normalCdf(x), digit],
        // The last digit of P, over the density.
        [
          `x-${x}`,
          `x of P = ${print}`,
          x,
          normalQuantile(p),
          (2 * digit) / (Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI)),
          "self-consistency",
        ],
        [`q-${x}`, `P(X > ${x})`, 1 - p, normalSurvival(x), digit + 1e-16, "self-consistency"],
      ];
    }),
  );
}

function betaTails(): Check[] {
  type Tails = [x: number, a: number, b: number, lower: number, upper: number];
  const { rows } = published<{ rows: Tails[] }>("incomplete-beta");
  return compareRows(
    "beta",
    { document: "mpmath", place: "an arbitrary-precision library, 40 digits", kind: "other library" },
    rows.flatMap(([x, a, b, lower, upper]): Row[] => {
      const ours = incompleteBeta(x, a, b);
      const near = (tail: number): number =>
        (5e-14 + 1e-15 * Math.abs(Math.log(tail)) + 1e-16 / Math.min(a, b)) * tail;
      const of = `incomplete beta function at ${x}, a = ${a}, b = ${b}`;
      return [
        [`${x}-${a}-${b}-lower`, `${of}: lower tail`, lower, ours.lower, near(lower)],
        [`${x}-${a}-${b}-upper`, `${of}: upper tail`, upper, ours.upper, near(upper)],
      ];
    }),
  );
}

function logGammas(): Row[] {
  const factorial = (n: number): number =>
    Array.from({ length: n }, (_, k) => Math.log(k + 1)).reduce((a, b) => a + b, 0);
  const half = Math.log(Math.PI) / 2;
  // Γ(n + ½) = √π·(1·3·5 … (2n − 1))/2ⁿ.
  const halves = (n: number): number =>
    Array.from({ length: n }, (_, k) => Math.log(k + 0.5)).reduce((a, b) => a + b, half);
  return [
    ["lg-half", "log Γ(½) = ½·log π", half, logGamma(0.5), 2e-15],
    ["lg-1", "log Γ(1)", 0, logGamma(1), 2e-15],
    ["lg-2", "log Γ(2)", 0, logGamma(2), 2e-15],
    ["lg-3.5", "log Γ(3½)", halves(3), logGamma(3.5), 4e-15],
    ["lg-8", "log Γ(8) = log 7!", Math.log(5040), logGamma(8), 1e-14],
    ["lg-12.5", "log Γ(12½)", halves(12), logGamma(12.5), 4e-14],
    ["lg-30", "log Γ(30) = log 29!", factorial(29), logGamma(30), 2e-13],
    ["lg-171", "log Γ(171) = log 170!", factorial(170), logGamma(171), 2e-12],
  ];
}

function fTails(): Row[] {
  return [0.1, 1, 2.5, 8].flatMap((f): Row[] =>
    [1, 4, 11, 60].flatMap((nu): Row[] => {
      // Two degrees of freedom in the numerator, or in the denominator.
      const above = (1 + (2 * f) / nu) ** (-nu / 2);
      const below = 1 - (1 + 2 / (nu * f)) ** (-nu / 2);
      return [
        [
          `F-2-${nu}-${f}`,
          `P(F > ${f}), 2 and ${nu} degrees of freedom`,
          above,
          fSurvival(f, 2, nu),
          1e-13 * above,
        ],
        [`F-${nu}-2-${f}`, `P(F > ${f}), ${nu} and 2 degrees of freedom`, below, fSurvival(f, nu, 2), 1e-13],
      ];
    }),
  );
}

function tTails(): Row[] {
  // Two degrees of freedom, far out: t = (1 − 2p)/√(2p(1 − p)).
  const far = [1e-12, 1e-6, 0.3].map((p): Row => {
    const t = -(1 - 2 * p) / Math.sqrt(2 * p * (1 - p));
    return [`t-far-${p}`, `t of P(T < t) = ${p}, 2 degrees of freedom`, t, tQuantile(p, 2), 1e-13 * -t];
  });
  const tails = [0.1, 1, 3, 30].flatMap((t): Row[] => {
    const one = Math.atan(1 / t) / Math.PI;
    const two = 0.5 * (1 - t / Math.sqrt(2 + t * t));
    return [
      [`t-1-${t}`, `P(T > ${t}), 1 degree of freedom`, one, studentTParts(t, 1).tail, 1e-13 * one],
      [`t-2-${t}`, `P(T > ${t}), 2 degrees of freedom`, two, studentTParts(t, 2).tail, 1e-15 + 1e-12 * two],
      [`t-q-1-${t}`, `t of that tail, 1 degree of freedom`, t, tQuantile(1 - one, 1), 1e-12 * (1 + t * t)],
    ];
  });
  return [...far, ...tails];
}

const [LOW, HIGH] = [-1, 3];
const INEXACT = 0.5;

/** A distribution, its closed mean and standard deviation, and its distribution function worked out apart from the project. */
interface Known {
  readonly name: string;
  readonly distribution: Distribution;
  readonly mean: number;
  /** Infinity where there is none to compare. */
  readonly deviation: number;
  readonly cdf: (x: number) => number;
}

const triangle = (x: number): number => (x < 1 ? (x - LOW) ** 2 / 8 : 1 - (HIGH - x) ** 2 / 8);
/** The sum of rectangular quantities of widths 3 and 1, low ends −1 and 0: base 4, top 2. */
const trapezoid = (x: number): number =>
  x < 0 ? (x + 1) ** 2 / 6 : x < 2 ? (2 * x + 1) / 6 : 1 - (3 - x) ** 2 / 6;

/** Half-width w rectangular on [h − d, h + d], place rectangular on ±w about the middle: the mean over w of ½ + s/2w within, by the middle of 4,000 strips. */
function curvilinear(x: number): number {
  const [half, strips] = [(HIGH - LOW) / 2, 4000];
  const s = Math.abs(x - (LOW + HIGH) / 2);
  let inside = 0;
  for (let k = 0; k < strips; k++) {
    const w = half - INEXACT + (2 * INEXACT * (k + 0.5)) / strips;
    inside += Math.min(1, s / w) / strips;
  }
  return x < (LOW + HIGH) / 2 ? (1 - inside) / 2 : (1 + inside) / 2;
}

const KNOWN: readonly Known[] = [
  { name: "normal", distribution: normal(1, 2), mean: 1, deviation: 2, cdf: (x) => normalCdf((x - 1) / 2) },
  {
    name: "rectangular",
    distribution: rectangular(LOW, HIGH),
    mean: 1,
    deviation: 2 / Math.sqrt(3),
    cdf: (x) => (x + 1) / 4,
  },
  {
    name: "triangular",
    distribution: triangular(LOW, HIGH),
    mean: 1,
    deviation: 2 / Math.sqrt(6),
    cdf: triangle,
  },
  {
    name: "trapezoidal",
    distribution: trapezoidal(LOW, HIGH, 0.5),
    mean: 1,
    deviation: Math.sqrt((9 + 1) / 12),
    cdf: trapezoid,
  },
  {
    name: "arc sine",
    distribution: arcSine(LOW, HIGH),
    mean: 1,
    deviation: Math.SQRT2,
    cdf: (x) => 0.5 + Math.asin((x - 1) / 2) / Math.PI,
  },
  {
    name: "curvilinear trapezoid",
    distribution: curvilinearTrapezoid(LOW, HIGH, INEXACT),
    mean: 1,
    deviation: Math.sqrt(4 / 3 + INEXACT ** 2 / 9),
    cdf: curvilinear,
  },
  {
    name: "Student t, 2",
    distribution: studentT(1, 2, 2),
    mean: 1,
    deviation: Infinity,
    cdf: (x) => 0.5 * (1 + (x - 1) / Math.sqrt(8 + (x - 1) ** 2)),
  },
  {
    name: "Student t, 1",
    distribution: studentT(1, 2, 1),
    mean: 1,
    deviation: Infinity,
    cdf: (x) => 0.5 + Math.atan((x - 1) / 2) / Math.PI,
  },
];
const PLACES = [0.01, 0.1, 0.4, 0.5, 0.75, 0.95, 0.999];

function quantiles(): Row[] {
  return KNOWN.flatMap(({ name, distribution, deviation, cdf }): Row[] => {
    const off = PLACES.map((p) => Math.abs(cdf(distribution.quantile(p)) - p));
    const rows: Row[] = [
      [
        `quantile-${name}`,
        `${name}: largest error of a quantile, as a probability`,
        0,
        Math.max(...off),
        name.startsWith("curv") ? 1e-7 : 1e-13,
      ],
    ];
    if (deviation < Infinity)
      rows.push([
        `sd-${name}`,
        `${name}: standard deviation`,
        deviation,
        distribution.standardDeviation,
        1e-14,
      ]);
    return rows;
  });
}

const DRAWS = 1_000_000;

/** Shares of a million draws at or below seven places, within four and a half of their own standard errors; mean and scatter where there are any. */
function draws(): Row[] {
  return KNOWN.flatMap(({ name, distribution, mean, deviation, cdf }): Row[] => {
    const stream = createStream(77);
    const values = Float64Array.from({ length: DRAWS }, () => distribution.draw(stream));
    const at = PLACES.map((p) => distribution.quantile(p));
    const counts = at.map((x) => values.reduce((sum, value) => sum + (value <= x ? 1 : 0), 0));
    const off = at.map((x, k) => {
      const p = cdf(x);
      return (counts[k]! / DRAWS - p) / Math.sqrt((p * (1 - p)) / DRAWS);
    });
    const rows: Row[] = [
      [
        `draws-${name}`,
        `${name}: share of a million draws at seven places, largest difference in standard errors`,
        0,
        Math.max(...off.map(Math.abs)),
        4.5,
      ],
    ];
    if (deviation < Infinity) {
      const found = typeA(values);
      rows.push([
        `mean-${name}`,
        `${name}: mean of a million draws`,
        mean,
        found.mean,
        (4.5 * deviation) / Math.sqrt(DRAWS),
      ]);
      rows.push([
        `scatter-${name}`,
        `${name}: standard deviation of a million draws`,
        deviation,
        found.standardDeviation,
        toDigits(2.3, deviation),
      ]);
    }
    return rows;
  });
}
