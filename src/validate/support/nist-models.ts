/** A regression function and its slopes by the parameters: [f, ∂f/∂b1, ∂f/∂b2, …]. */
export type RegressionModel = (b: ArrayLike<number>, x: number) => number[];

/** b1·(1 − exp(−b2·x)). */
const saturation: RegressionModel = (b, x) => {
  const decay = Math.exp(-b[1]! * x);
  // expm1 keeps the digits where b2·x is small.
  const rise = -Math.expm1(-b[1]! * x);
  return [b[0]! * rise, rise, b[0]! * x * decay];
};

/** exp(−b1·x)/(b2 + b3·x). */
const dampedInverse: RegressionModel = (b, x) => {
  const below = b[1]! + b[2]! * x;
  const f = Math.exp(-b[0]! * x) / below;
  return [f, -x * f, -f / below, (-x * f) / below];
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

/** NIST's nonlinear sets by the name of their file in `data/published`. */
export const NIST_MODELS: Readonly<Record<string, RegressionModel>> = {
  misra1a: saturation,
  chwirut2: dampedInverse,
  thurber: cubicRatio,
  mgh09: quadraticRatio,
  rat43: generalLogistic,
  eckerle4: peak,
  boxbod: saturation,
};
