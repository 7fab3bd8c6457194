/** A regression function of one point x (one predictor or two) and its slopes by the parameters: [f, ∂f/∂b1, ∂f/∂b2, …]. */
export type RegressionModel = (b: ArrayLike<number>, x: number, x2?: number) => number[];

/** b1·(1 − exp(−b2·x)). */
const saturation: RegressionModel = (b, x) => {
  const decay = Math.exp(-b[1]! * x);
  // expm1 keeps the digits where b2·x is small.
  const rise = -Math.expm1(-b[1]! * x);
  return [b[0]! * rise, rise, b[0]! * x * decay];
};

/** b1·(1 − (1 + b2·x/2)⁻²). */
const inverseSquare: RegressionModel = (b, x) => {
  const base = 1 + (b[1]! * x) / 2;
  const rise = 1 - base ** -2;
  return [b[0]! * rise, rise, b[0]! * x * base ** -3];
};

/** b1·(1 − (1 + 2·b2·x)^(−½)). */
const inverseRoot: RegressionModel = (b, x) => {
  const base = 1 + 2 * b[1]! * x;
  const rise = 1 - base ** -0.5;
  return [b[0]! * rise, rise, b[0]! * x * base ** -1.5];
};

/** b1·b2·x/(1 + b2·x). */
const hyperbola: RegressionModel = (b, x) => {
  const base = 1 + b[1]! * x;
  const rise = (b[1]! * x) / base;
  return [b[0]! * rise, rise, (b[0]! * x) / base ** 2];
};

/** exp(−b1·x)/(b2 + b3·x). */
const dampedInverse: RegressionModel = (b, x) => {
  const below = b[1]! + b[2]! * x;
  const f = Math.exp(-b[0]! * x) / below;
  return [f, -x * f, -f / below, (-x * f) / below];
};

/** (b1 + b2·x + b3·x²)/(1 + b4·x + b5·x²). */
const quadraticOverQuadratic: RegressionModel = (b, x) => {
  const below = 1 + x * (b[3]! + x * b[4]!);
  const f = (b[0]! + x * (b[1]! + x * b[2]!)) / below;
  return [f, 1 / below, x / below, (x * x) / below, (-f * x) / below, (-f * x * x) / below];
};

/** (b1 + b2·x + b3·x² + b4·x³)/(1 + b5·x + b6·x² + b7·x³). */
const cubicRatio: RegressionModel = (b, x) => {
  const below = 1 + x * (b[4]! + x * (b[5]! + x * b[6]!));
  const f = (b[0]! + x * (b[1]! + x * (b[2]! + x * b[3]!))) / below;
  const powers = [1, x, x * x, x ** 3];
  return [f, ...powers.map((p) => p / below), ...powers.slice(1).map((p) => (-f * p) / below)];
};

/** b1·(x² + b2·x)/(x² + b3·x + b4). */
const quadraticRatio: RegressionModel = (b, x) => {
  const below = x * x + b[2]! * x + b[3]!;
  const above = x * x + b[1]! * x;
  const f = (b[0]! * above) / below;
  return [f, above / below, (b[0]! * x) / below, (-f * x) / below, -f / below];
};

/** b1/(1 + exp(b2 − b3·x)). */
const logistic: RegressionModel = (b, x) => {
  const e = Math.exp(b[1]! - b[2]! * x);
  const f = b[0]! / (1 + e);
  const byExponent = (-f * e) / (1 + e);
  return [f, f / b[0]!, byExponent, -x * byExponent];
};

/** b1/(1 + exp(b2 − b3·x))^(1/b4). */
const generalLogistic: RegressionModel = (b, x) => {
  const e = Math.exp(b[1]! - b[2]! * x);
  const f = b[0]! * (1 + e) ** (-1 / b[3]!);
  const byExponent = (-f / b[3]!) * (e / (1 + e));
  return [f, f / b[0]!, byExponent, -x * byExponent, (f * Math.log1p(e)) / b[3]! ** 2];
};

/** (b1/b2)·exp(−½((x − b3)/b2)²). */
const peak: RegressionModel = (b, x) => {
  const z = (x - b[2]!) / b[1]!;
  const f = (b[0]! / b[1]!) * Math.exp((-z * z) / 2);
  return [f, f / b[0]!, ((z * z - 1) * f) / b[1]!, (z * f) / b[1]!];
};

/** Σ b·exp(−b′·x) over three pairs b, b′. */
const threeDecays: RegressionModel = (b, x) => {
  const parts = [0, 2, 4].map((k) => Math.exp(-b[k + 1]! * x));
  const f = parts.reduce((sum, e, k) => sum + b[2 * k]! * e, 0);
  return [f, ...parts.flatMap((e, k) => [e, -x * b[2 * k]! * e])];
};

/** b1·exp(−b2·x) + b3·exp(−(x − b4)²/b5²) + b6·exp(−(x − b7)²/b8²). */
const decayAndTwoPeaks: RegressionModel = (b, x) => {
  const decay = Math.exp(-b[1]! * x);
  const peaks = [2, 5].map((k) => {
    const z = (x - b[k + 1]!) / b[k + 2]!;
    const e = Math.exp(-z * z);
    const f = b[k]! * e;
    return { f, slopes: [e, (2 * f * z) / b[k + 2]!, (2 * f * z * z) / b[k + 2]!] };
  });
  const f = peaks.reduce((sum, one) => sum + one.f, b[0]! * decay);
  return [f, decay, -x * b[0]! * decay, ...peaks.flatMap(({ slopes }) => slopes)];
};

/** b1 + b2·exp(−b4·x) + b3·exp(−b5·x). */
const levelAndTwoDecays: RegressionModel = (b, x) => {
  const [p, q] = [Math.exp(-b[3]! * x), Math.exp(-b[4]! * x)];
  return [b[0]! + b[1]! * p + b[2]! * q, 1, p, q, -x * b[1]! * p, -x * b[2]! * q];
};

/** b1·x^b2. */
const power: RegressionModel = (b, x) => {
  const f = b[0]! * x ** b[1]!;
  return [f, x ** b[1]!, f * Math.log(x)];
};

/** b1·(b2 + x)^(−1/b3). */
const shiftedPower: RegressionModel = (b, x) => {
  const base = b[1]! + x;
  const f = b[0]! * base ** (-1 / b[2]!);
  return [f, f / b[0]!, -f / (b[2]! * base), (f * Math.log(base)) / b[2]! ** 2];
};

/** b1·exp(b2/(x + b3)). */
const exponentialOfInverse: RegressionModel = (b, x) => {
  const below = x + b[2]!;
  const e = Math.exp(b[1]! / below);
  const f = b[0]! * e;
  return [f, e, f / below, (-f * b[1]!) / below ** 2];
};

/** b1 − b2·x − arctan(b3/(x − b4))/π. */
const arcTangent: RegressionModel = (b, x) => {
  const [away, size] = [x - b[3]!, (x - b[3]!) ** 2 + b[2]! ** 2];
  const angle = Math.atan(b[2]! / away) / Math.PI;
  return [b[0]! - b[1]! * x - angle, 1, -x, -away / (Math.PI * size), -b[2]! / (Math.PI * size)];
};

/** b1 − b2·x·exp(−b3·x2): the logarithm of the response. */
const ageing: RegressionModel = (b, x, x2 = 0) => {
  const e = Math.exp(-b[2]! * x2);
  return [b[0]! - b[1]! * x * e, 1, -x * e, b[1]! * x * x2 * e];
};

/** A level, a yearly cycle, and two cycles of periods b4 and b7, each a cosine and a sine. */
const threeCycles: RegressionModel = (b, x) => {
  const wave = (period: number) => [
    Math.cos((2 * Math.PI * x) / period),
    Math.sin((2 * Math.PI * x) / period),
  ];
  const [c1, s1] = wave(12) as [number, number];
  const parts = [3, 6].map((k) => {
    const [c, s] = wave(b[k]!) as [number, number];
    const byPeriod = ((2 * Math.PI * x) / b[k]! ** 2) * (b[k + 1]! * s - b[k + 2]! * c);
    return { f: b[k + 1]! * c + b[k + 2]! * s, slopes: [byPeriod, c, s] };
  });
  const f = parts.reduce((sum, part) => sum + part.f, b[0]! + b[1]! * c1 + b[2]! * s1);
  return [f, 1, c1, s1, ...parts.flatMap(({ slopes }) => slopes)];
};

/** NIST's nonlinear sets by the name of their file in `data/published`, in NIST's order of difficulty. */
export const NIST_MODELS: Readonly<Record<string, RegressionModel>> = {
  misra1a: saturation,
  chwirut2: dampedInverse,
  chwirut1: dampedInverse,
  lanczos3: threeDecays,
  gauss1: decayAndTwoPeaks,
  gauss2: decayAndTwoPeaks,
  danwood: power,
  misra1b: inverseSquare,
  kirby2: quadraticOverQuadratic,
  hahn1: cubicRatio,
  nelson: ageing,
  mgh17: levelAndTwoDecays,
  lanczos1: threeDecays,
  lanczos2: threeDecays,
  gauss3: decayAndTwoPeaks,
  misra1c: inverseRoot,
  misra1d: hyperbola,
  roszman1: arcTangent,
  enso: threeCycles,
  mgh09: quadraticRatio,
  thurber: cubicRatio,
  boxbod: saturation,
  rat42: logistic,
  mgh10: exponentialOfInverse,
  eckerle4: peak,
  rat43: generalLogistic,
  bennett5: shiftedPower,
};
