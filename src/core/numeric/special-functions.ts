import { refuse } from "../errors.js";

/** From this x on, Stirling's series with eight terms is exact to 1e-16. */
const STIRLING_START = 10;
const HALF_LOG_TWO_PI = 0.9189385332046728;
/** B₂ₖ/(2k(2k − 1)), k = 1…8. */
const STIRLING: readonly number[] = [
  1 / 12,
  -1 / 360,
  1 / 1260,
  -1 / 1680,
  1 / 1188,
  -691 / 360360,
  1 / 156,
  -3617 / 122400,
];

/**
 * log Γ(x) for x > 0. Error ≤ 1e-15·max(1, |log Γ|) (measured): Stirling's formula and {@link stirlingCorrection}.
 * @throws RangeError when x is not positive
 */
export function logGamma(x: number): number {
  if (!(x > 0)) refuse("log Γ is asked at a point outside its range", "x must be > 0", x, "logGamma");
  if (x === Infinity) return Infinity;
  return (x - 0.5) * Math.log(x) - x + HALF_LOG_TWO_PI + stirlingCorrection(x);
}

/**
 * δ(x) = log Γ(x) − [(x − ½) log x − x + ½ log 2π], the correction to Stirling's formula, x > 0; about 1/(12x).
 * With it, ratios of gamma functions are computed without cancellation of large logarithms. Above 10 it uses the asymptotic
 * series, below 10 the recurrence δ(x) = δ(x + 1) + (x + ½) log(1 + 1/x) − 1.
 */
export function stirlingCorrection(x: number): number {
  let sum = 0;
  let shifted = x;
  for (; shifted < STIRLING_START; shifted++) sum += step(shifted);
  const inverse = 1 / (shifted * shifted);
  let series = 0;
  for (let k = STIRLING.length - 1; k >= 0; k--) series = series * inverse + STIRLING[k]!;
  return sum + series / shifted;
}

/** (x + ½) log(1 + 1/x) − 1 > 0; with v = 1/(2x + 1) it is v²/3 + v⁴/5 + … */
function step(x: number): number {
  if (x < 1) return (x + 0.5) * Math.log1p(1 / x) - 1;
  const square = 1 / (2 * x + 1) ** 2;
  let power = 1;
  let sum = 0;
  for (let k = 3; power > 1e-17; k += 2) {
    power *= square;
    sum += power / k;
  }
  return sum;
}

/** The two complementary tails of a distribution. They add up to one, and each keeps its full relative precision. */
export interface Tails {
  readonly lower: number;
  readonly upper: number;
}

/**
 * Regularised incomplete beta function: `lower` = I_x(a, b), `upper` = 1 − I_x(a, b), for a, b > 0 and x in [0, 1].
 * Pass `complement` = 1 − x when it is known more precisely than by subtraction.
 *
 * Relative error of either tail ≤ 1e-14 + 4e-16·|log tail| for 0.05 ≤ a, b ≤ 1500, and with one of them ½ up to 5e9; where one is below 0.05, the other up to 40,
 * ≤ 3e-14 + 1e-16/min(a, b) (both measured against 40 digits). Continued fraction of
 * A. R. DiDonato and A. H. Morris (ACM Trans. Math. Softw. 18, 1992, eq. 9) on the side where it converges fast. Its front factor is computed from deviances, so large a and b lose no digits.
 * @throws RangeError for a or b not positive, x outside [0, 1]
 */
export function incompleteBeta(x: number, a: number, b: number, complement = 1 - x): Tails {
  if (!(a > 0 && b > 0 && a < Infinity && b < Infinity))
    refuse(
      "a parameter is out of range",
      "a and b must be positive and finite",
      `${a}, ${b}`,
      "incompleteBeta",
    );
  if (!(x >= 0 && x <= 1))
    refuse("the argument is out of range", "x must lie in [0, 1]", x, "incompleteBeta");
  if (x === 0) return { lower: 0, upper: 1 };
  if (complement === 0) return { lower: 1, upper: 0 };
  if (a <= b && a < SMALL) {
    const tails = nearZero(x, complement, a, b);
    if (tails) return tails;
  }
  if (b < a && b < SMALL) {
    const tails = nearZero(complement, x, b, a);
    if (tails) return { lower: tails.upper, upper: tails.lower };
  }
  if (x <= (a + 1) / (a + b + 2)) {
    const lower = oneSide(x, complement, a, b);
    return { lower, upper: 1 - lower };
  }
  const upper = oneSide(complement, x, b, a);
  return { lower: 1 - upper, upper };
}

/** Below this parameter the continued fraction computes the larger of the two tails instead of the smaller. */
const SMALL = 0.05;
/** Above this x the tail beyond it is summed, below the tail before it. */
const NEAR = 0.01;

/**
 * Both tails for a ≤ b with a small, by power series: nearly all of the probability then lies at 0, and the tail beyond x is proportional to a.
 * `null` where x is small and b so large that the series would cancel.
 */
function nearZero(x: number, y: number, a: number, b: number): Tails | null {
  // Γ(1 + a + b)/(Γ(1 + a)Γ(1 + b)), with z = 1 + b.
  const z = 1 + b;
  const rise = (z + a - 0.5) * Math.log1p(a / z) + a * Math.log(z) - a;
  const ratio = Math.exp(rise + stirlingCorrection(z + a) - stirlingCorrection(z) - logGamma(1 + a));
  if (x >= NEAR) {
    const logY = x < 0.5 ? Math.log1p(-x) : Math.log(y);
    const upper = Math.exp(b * logY) * (a / (a + b)) * ratio * powerSeries(y, b, a);
    return { lower: 1 - upper, upper };
  }
  if (b * x > 1) return null;
  const lower = x ** a * (b / (a + b)) * ratio * powerSeries(x, a, b);
  return { lower, upper: 1 - lower };
}

/** 1 + a·Σ (1 − b)(2 − b)…(n − b)·xⁿ/(n!·(a + n)), n from 1 on. */
function powerSeries(x: number, a: number, b: number): number {
  let [sum, term] = [1, 1];
  for (let n = 1; n <= MOST_TERMS; n++) {
    term *= (x * (n - b)) / n;
    const next = sum + (a * term) / (a + n);
    if (next === sum) break;
    sum = next;
  }
  return sum;
}

/** I_x(a, b) for x at or below the mean. */
function oneSide(x: number, y: number, a: number, b: number): number {
  const n = a + b;
  const exponent =
    stirlingCorrection(n) -
    stirlingCorrection(a) -
    stirlingCorrection(b) -
    deviance(a, n * x) -
    deviance(b, n * y);
  const front = Math.sqrt((a * b) / (2 * Math.PI * n)) * Math.exp(exponent);
  const below = a > b ? n * y - b : a - n * x; // how far the mean lies beyond x, times n
  const fraction = continuedFraction(
    (a / (a + 1)) * (below + 1),
    (k) => ((a + k - 1) / (a + 2 * k - 1)) * ((n + k - 1) / (a + 2 * k - 1)) * k * (b - k) * x * x,
    (k) => k + (k * (b - k) * x) / (a + 2 * k - 1) + ((a + k) / (a + 2 * k + 1)) * (below + 1 + k * (1 + y)),
  );
  return front / fraction;
}

const TINY = 1e-300;
const TOLERANCE = 1e-16;
const MOST_TERMS = 200_000;

/**
 * b₀ + a₁/(b₁ + a₂/(b₂ + …)) by the modified Lentz method (I. J. Thompson and A. R. Barnett, J. Comput. Phys. 64, 1986).
 * @throws RangeError when it has not converged after 200 000 terms
 */
export function continuedFraction(b0: number, a: (k: number) => number, b: (k: number) => number): number {
  let f = b0 || TINY;
  let c = f;
  let d = 0;
  for (let k = 1; k <= MOST_TERMS; k++) {
    const ak = a(k);
    const bk = b(k);
    d = 1 / (bk + ak * d || TINY);
    c = bk + ak / c || TINY;
    f *= c * d;
    if (Math.abs(c * d - 1) <= TOLERANCE) return f;
  }
  return refuse("a continued fraction did not settle", `${MOST_TERMS} terms at most`, f, "continuedFraction");
}

/**
 * x·log(x/m) + m − x ≥ 0, the deviance of `x` from `m` (both > 0), without cancellation when they are close:
 * with v = (x − m)/(x + m) it is (x − m)·v + 2x·(v³/3 + v⁵/5 + …). After C. Loader, "Fast and accurate computation of
 * binomial probabilities", 2000.
 */
export function deviance(x: number, m: number): number {
  if (x === 0) return m;
  const v = (x - m) / (x + m);
  if (Math.abs(v) > 0.4) return x * Math.log(x / m) + m - x;
  const square = v * v;
  let power = 2 * x * v;
  let sum = (x - m) * v;
  for (let k = 3; ; k += 2) {
    power *= square;
    const next = sum + power / k;
    if (next === sum) return sum;
    sum = next;
  }
}
