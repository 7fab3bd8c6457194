import { householderQr, rankOf, solveTriangle, type Triangle } from "./householder-qr.js";

export interface TrustStep {
  readonly step: Float64Array;
  /** Damping λ; 0 for the full Gauss–Newton step. */
  readonly damping: number;
  /** ‖D·step‖. */
  readonly length: number;
}

/** The radius is met to this share. */
const RADIUS_TOLERANCE = 0.1;
const MOST_ROUNDS = 20;

/**
 * The step d that minimises ‖R·P·d + Qᵀf‖ within ‖D·d‖ ≤ radius (J. J. Moré, The Levenberg–Marquardt algorithm: implementation and theory, 1978):
 * the Gauss–Newton step when it is short enough, else the damped one whose λ is found by Newton's method between bounds.
 *
 * @param triangle factorization of the Jacobian with the residuals as right-hand side.
 * @param scale diagonal of D, > 0.
 */
export function trustStep(triangle: Triangle, scale: Float64Array, radius: number): TrustStep {
  const { columns, r, qtb } = triangle;
  const full = solveTriangle(triangle, qtb).map((x) => -x);
  const fullLength = scaledLength(full, scale);
  const determined = rankOf(r, columns) === columns;
  if (determined && fullLength <= (1 + RADIUS_TOLERANCE) * radius) {
    return { step: full, damping: 0, length: fullLength };
  }
  let high = gradientLength(triangle, scale) / radius;
  let low = 0;
  let damping = determined ? Math.max(1e-3 * high, 0) : 1e-3 * high;
  let best: TrustStep = { step: full, damping: 0, length: fullLength };
  for (let round = 0; round < MOST_ROUNDS; round++) {
    if (!(damping > low && damping < high) && round > 0)
      damping = Math.max(1e-3 * high, Math.sqrt(low * high));
    const { step, slope } = dampedStep(triangle, scale, damping);
    const length = scaledLength(step, scale);
    best = { step, damping, length };
    const excess = length - radius;
    if (Math.abs(excess) <= RADIUS_TOLERANCE * radius) break;
    if (excess > 0) low = Math.max(low, damping);
    else high = Math.min(high, damping);
    // Newton on 1/‖D·d(λ)‖, which is nearly straight in λ.
    damping += ((length / radius) * excess) / slope;
  }
  return best;
}

/** d(λ), and −d‖D·d‖/dλ (> 0). */
function dampedStep(
  triangle: Triangle,
  scale: Float64Array,
  damping: number,
): { step: Float64Array; slope: number } {
  const { columns: n, r, order, qtb } = triangle;
  const root = Math.sqrt(damping);
  const stacked = new Float64Array(2 * n * n);
  stacked.set(r);
  for (let k = 0; k < n; k++) stacked[(n + k) * n + k] = root * scale[order[k]!]!;
  const rhs = new Float64Array(2 * n);
  rhs.set(qtb);
  const damped = householderQr(stacked, 2 * n, n, rhs);
  const permuted = solveTriangle(damped, damped.qtb);
  const step = new Float64Array(n);
  for (let k = 0; k < n; k++) step[order[k]!] = -permuted[k]!;
  const length = scaledLength(step, scale);
  // ‖D d‖·d‖D d‖/dλ = −‖R_λ^{−T} Pᵀ D² d‖².
  const v = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    const original = order[damped.order[k]!]!;
    v[k] = scale[original]! ** 2 * step[original]!;
  }
  let sum = 0;
  for (let i = 0; i < n; i++) {
    let value = v[i]!;
    for (let j = 0; j < i; j++) value -= damped.r[j * n + i]! * v[j]!;
    v[i] = value / damped.r[i * n + i]!;
    sum += v[i]! ** 2;
  }
  return { step, slope: sum / length };
}

export function scaledLength(x: Float64Array, scale: Float64Array): number {
  return Math.hypot(...x.map((value, i) => value * scale[i]!));
}

/** ‖D⁻¹Jᵀf‖. */
function gradientLength({ columns: n, r, order, qtb }: Triangle, scale: Float64Array): number {
  let sum = 0;
  for (let j = 0; j < n; j++) {
    let g = 0;
    for (let i = 0; i <= j; i++) g += r[i * n + j]! * qtb[i]!;
    sum += (g / scale[order[j]!]!) ** 2;
  }
  return Math.sqrt(sum);
}
