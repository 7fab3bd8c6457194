import { gaussLegendre } from "../numeric/gauss-legendre.js";
import { normalCdf, normalSurvival } from "../numeric/normal-cdf.js";
import { normalPdf } from "../numeric/normal-pdf.js";

/** Mean and standard deviation of the range of n readings, as multiples of their standard deviation. */
export interface RangeConstants {
  readonly d2: number;
  readonly d3: number;
}

const WIDEST = 16;
const FARTHEST = 9;
const STEP = 0.05;
const RULE = gaussLegendre(64);
const known = new Map<number, RangeConstants>();

/**
 * d2 and d3 for samples of n ≥ 2 from a normal, by quadrature of P(W ≤ w) = n ∫ φ(x) [Φ(x + w) − Φ(x)]ⁿ⁻¹ dx.
 * Within 1e-10 of the closed forms for n = 2 and 3 (d2 = 2/√π and 3/√π).
 */
export function rangeConstants(n: number): RangeConstants {
  if (!(Number.isInteger(n) && n >= 2))
    throw new RangeError(
      `A range is of two readings at least; n must be whole and ≥ 2; the value was ${n}; in rangeConstants.`,
    );
  const before = known.get(n);
  if (before) return before;
  let [first, second] = [0, 0];
  for (const [k, node] of RULE.nodes.entries()) {
    const w = (WIDEST / 2) * (1 + node);
    const weight = (WIDEST / 2) * RULE.weights[k]!;
    const beyond = 1 - rangeAtMost(w, n);
    first += weight * beyond;
    second += 2 * weight * w * beyond;
  }
  const constants = { d2: first, d3: Math.sqrt(second - first ** 2) };
  known.set(n, constants);
  return constants;
}

/** By the trapezoidal rule, which for a smooth integrand that dies away at both ends errs less than any power of its step. */
function rangeAtMost(w: number, n: number): number {
  let sum = 0;
  for (let x = -FARTHEST - w; x <= FARTHEST; x += STEP) {
    const inside = x > 0 ? normalSurvival(x) - normalSurvival(x + w) : normalCdf(x + w) - normalCdf(x);
    sum += normalPdf(x) * inside ** (n - 1);
  }
  return n * STEP * sum;
}

/**
 * Mean of the root of the mean square of `groups` ranges of n readings, as a multiple of their standard deviation:
 * √(d2² + d3²/groups). For one group it is what a single range is divided by to estimate a standard deviation whose square is right on average.
 */
export function rangeDivisor(n: number, groups: number): number {
  const { d2, d3 } = rangeConstants(n);
  return Math.sqrt(d2 ** 2 + d3 ** 2 / groups);
}
