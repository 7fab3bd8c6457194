import { all, type BigNumber, create } from "mathjs";

/** Reference values in 64-digit arithmetic (mathjs), by formulas that share nothing with the code under test. */
const math = create(all!, { number: "BigNumber", precision: 64 });

/** Exactly the double `x` (its shortest decimal is not), or the decimal a string spells. */
export function big(x: number | string): BigNumber {
  if (typeof x === "string") return math.bignumber(x);
  if (Number.isInteger(x)) return math.bignumber(String(BigInt(x)));
  let [mantissa, exponent] = [x, 0];
  for (; !Number.isInteger(mantissa); exponent++) mantissa *= 2;
  return math.bignumber(String(BigInt(mantissa))).div(math.bignumber(2).pow(exponent));
}

export const PI = math.bignumber(math.pi as unknown as BigNumber);
const SQRT_TWO_PI = PI.times(2).sqrt();
const SMALL = big("1e-66");

/** |computed − exact| / |exact| (or the absolute error where the exact value is zero). */
export function relativeError(computed: number, exact: BigNumber): number {
  const miss = big(computed).minus(exact).abs();
  return (exact.isZero() ? miss : miss.div(exact.abs())).toNumber();
}

/** φ(z). */
export const bigPdf = (z: BigNumber): BigNumber => z.times(z).div(-2).exp().div(SQRT_TWO_PI);

/** Φ(z) − ½ as φ(z) Σ z^(2k+1)/(2k+1)!!. */
export function bigCentral(z: BigNumber): BigNumber {
  let term = z;
  let sum = z;
  for (let k = 3; !term.isZero() && term.div(sum).abs().gt(SMALL); k += 2) {
    term = term.times(z).times(z).div(k);
    sum = sum.plus(term);
  }
  return bigPdf(z).times(sum);
}

/** Hazard minus z for z ≥ 0: from the series up to 7, from Laplace's continued fraction beyond. */
export function bigExcess(z: BigNumber): BigNumber {
  if (z.lt(7))
    return bigPdf(z)
      .div(big(0.5).minus(bigCentral(z)))
      .minus(z);
  let f = big(0);
  for (let k = 400; k > 0; k--) f = big(k).div(z.plus(f));
  return f;
}

/** log(1 − p) for small p, by its series. */
export function bigLogOneMinus(p: BigNumber): BigNumber {
  let power = p;
  let sum = p;
  for (let k = 2; power.div(p).gt(SMALL); k++) {
    power = power.times(p);
    sum = sum.plus(power.div(k));
  }
  return sum.neg();
}

/** log(1 − Φ(z)) for z ≥ 0, without underflow. */
export const bigLogTail = (z: BigNumber): BigNumber =>
  z
    .times(z)
    .div(-2)
    .minus(SQRT_TWO_PI.ln())
    .minus(z.plus(bigExcess(z)).ln());

/** 1 − Φ(z). */
export function bigSurvival(z: BigNumber): BigNumber {
  if (z.lt(7)) return big(0.5).minus(bigCentral(z));
  return bigPdf(z).div(z.plus(bigExcess(z)));
}

/** Bernoulli numbers B₂ₙ, n = 1 … 45, from the tangent numbers in whole arithmetic. */
const BERNOULLI = (() => {
  const n = 45;
  const t: bigint[] = [0n, 1n];
  for (let k = 2; k <= n; k++) t[k] = BigInt(k - 1) * t[k - 1]!;
  for (let k = 2; k <= n; k++)
    for (let j = k; j <= n; j++) t[j] = BigInt(j - k) * t[j - 1]! + BigInt(j - k + 2) * t[j]!;
  return t.slice(1).map((tangent, i) => {
    const m = BigInt(i + 1);
    const four = 4n ** m;
    return big(String((i % 2 === 0 ? 1n : -1n) * 2n * m * tangent)).div(big(String(four * (four - 1n))));
  });
})();

/** log Γ(x), x > 0: Stirling's series at x + 60. */
export function bigLogGamma(x: BigNumber): BigNumber {
  let product = big(1);
  let y = x;
  for (; y.lt(60); y = y.plus(1)) product = product.times(y);
  let sum = y.minus(0.5).times(y.ln()).minus(y).plus(SQRT_TWO_PI.ln());
  let power = y;
  BERNOULLI.forEach((b, i) => {
    sum = sum.plus(b.div(power.times((2 * i + 2) * (2 * i + 1))));
    power = power.times(y).times(y);
  });
  return sum.minus(product.ln());
}

/** I_x(a, b) = xᵃ(1 − x)ᵇ/(a B(a, b)) Σ (a+b)ₙ/(a+1)ₙ xⁿ, all terms positive; near x = 1 from the other side. */
export function bigBeta(x: BigNumber, a: BigNumber, b: BigNumber): BigNumber {
  if (x.gt(0.9)) return big(1).minus(bigBeta(big(1).minus(x), b, a));
  const n = a.plus(b);
  let term = big(1);
  let sum = term;
  for (let k = 0; term.div(sum).gt(SMALL); k++) {
    term = term
      .times(x)
      .times(n.plus(k))
      .div(a.plus(k + 1));
    sum = sum.plus(term);
  }
  const logFront = a
    .times(x.ln())
    .plus(b.times(big(1).minus(x).ln()))
    .plus(bigLogGamma(n))
    .minus(bigLogGamma(a))
    .minus(bigLogGamma(b));
  return logFront.exp().div(a).times(sum);
}

/** P(a, x) = xᵃe⁻ˣ/Γ(a + 1) Σ xⁿ/(a+1)ₙ. */
export function bigGammaLower(a: BigNumber, x: BigNumber): BigNumber {
  let term = big(1);
  let sum = term;
  for (let k = 1; term.div(sum).gt(SMALL); k++) {
    term = term.times(x).div(a.plus(k));
    sum = sum.plus(term);
  }
  return a
    .times(x.ln())
    .minus(x)
    .minus(bigLogGamma(a.plus(1)))
    .exp()
    .times(sum);
}

/** P(T > t), t > 0: from the middle while that leaves 50 digits, from the tail where its series is short. */
export function bigTSurvival(t: BigNumber, nu: BigNumber): BigNumber {
  const spread = nu.plus(t.times(t));
  const half = nu.div(2);
  if (t.lt(8) || (t.lt(14) && nu.gt(500)))
    return big(0.5).minus(bigBeta(t.times(t).div(spread), big(0.5), half).div(2));
  return bigBeta(nu.div(spread), half, big(0.5)).div(2);
}

/** Student's density. */
export function bigTPdf(t: BigNumber, nu: BigNumber): BigNumber {
  const log = bigLogGamma(nu.plus(1).div(2))
    .minus(bigLogGamma(nu.div(2)))
    .minus(nu.times(PI).ln().div(2))
    .minus(nu.plus(1).div(2).times(t.times(t).div(nu).plus(1).ln()));
  return log.exp();
}

/** `count` points from `from` to `to`, evenly spaced. */
export const linear = (from: number, to: number, count: number): number[] =>
  Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));

/** `count` points from `from` to `to`, evenly spaced in their logarithm. */
export const logarithmic = (from: number, to: number, count: number): number[] =>
  linear(Math.log(from), Math.log(to), count).map(Math.exp);

/** The largest error over a grid, with the place where it occurs. */
export function worst<T>(points: readonly T[], error: (point: T) => number): { error: number; at: T } {
  let result = { error: -1, at: points[0] as T };
  for (const point of points) {
    const e = error(point);
    if (!(e <= result.error)) result = { error: e, at: point };
  }
  return result;
}
