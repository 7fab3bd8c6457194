// Elements are read without bounds checks here: checked reads in the solvers and the likelihood made a calibration 8 to 10 % slower.

import { householderQr, rankOf, solveTriangle, type Triangle } from "./linear-algebra.js";

export interface TrustStep {
  readonly step: Float64Array;
  /** Damping λ; 0 for the full Gauss–Newton step. */
  readonly damping: number;
  /** ‖step‖. */
  readonly length: number;
}

/** Relative tolerance to which the step's length meets the radius. */
const RADIUS_TOLERANCE = 0.1;
const MOST_ROUNDS = 20;
/** When the columns do not determine a step, √λ stays above this share of the largest pivot, below which it would be rounding. */
const LEAST_ROOT = 1e-9;

/**
 * The step z that minimises ‖R·P·z + Qᵀf‖ within ‖z‖ ≤ radius (J. J. Moré, The Levenberg–Marquardt algorithm: implementation and theory, 1978):
 * the Gauss–Newton step when it is short enough, otherwise the damped step, whose λ is found by Newton's method between bounds.
 * When the columns do not determine the step it is always damped; the result is then the shortest of the equally good steps, up to rounding.
 *
 * @param triangle factorization of the Jacobian, its columns scaled to comparable lengths, with the residuals as right-hand side.
 */
export function trustStep(triangle: Triangle, radius: number): TrustStep {
  const { columns, r, qtb } = triangle;
  const determined = rankOf(r, columns) === columns;
  if (determined) {
    const full = solveTriangle(triangle, qtb).map((z) => -z);
    const length = Math.hypot(...full);
    if (length <= (1 + RADIUS_TOLERANCE) * radius) return { step: full, damping: 0, length };
  }
  let low = determined ? 0 : (LEAST_ROOT * Math.abs(r[0]!)) ** 2;
  let high = Math.max(gradientLength(triangle) / radius, low);
  let damping = Math.max(1e-3 * high, low);
  let best: TrustStep | null = null;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const { step, slope } = dampedStep(triangle, damping);
    const length = Math.hypot(...step);
    best = { step, damping, length };
    const excess = length - radius;
    if (Math.abs(excess) <= RADIUS_TOLERANCE * radius) break;
    if (excess < 0 && damping <= low) break;
    if (excess > 0) low = Math.max(low, damping);
    else high = Math.min(high, damping);
    // Newton on 1/‖z(λ)‖, which is nearly linear in λ.
    damping += ((length / radius) * excess) / slope;
    if (!(damping > low && damping < high)) damping = Math.max(1e-3 * high, Math.sqrt(low * high));
  }
  return best!;
}

/** z(λ), and −d‖z‖/dλ (> 0). */
function dampedStep(triangle: Triangle, damping: number): { step: Float64Array; slope: number } {
  const { columns: n, r, order, qtb } = triangle;
  const root = Math.sqrt(damping);
  const stacked = new Float64Array(2 * n * n);
  stacked.set(r);
  for (let k = 0; k < n; k++) stacked[(n + k) * n + k] = root;
  const rhs = new Float64Array(2 * n);
  rhs.set(qtb);
  const damped = householderQr(stacked, 2 * n, n, rhs);
  const permuted = solveTriangle(damped, damped.qtb);
  const step = new Float64Array(n);
  for (let k = 0; k < n; k++) step[order[k]!] = -permuted[k]!;
  const length = Math.hypot(...step);
  // ‖z‖·d‖z‖/dλ = −‖R_λ^{−T}·Pᵀ·z‖².
  const v = new Float64Array(n);
  let sum = 0;
  for (let i = 0; i < n; i++) {
    let value = step[order[damped.order[i]!]!]!;
    for (let j = 0; j < i; j++) value -= damped.r[j * n + i]! * v[j]!;
    v[i] = value / damped.r[i * n + i]!;
    sum += v[i]! ** 2;
  }
  return { step, slope: sum / length };
}

/** ‖Jᵀf‖. */
function gradientLength({ columns: n, r, qtb }: Triangle): number {
  const gradient = new Float64Array(n);
  for (let j = 0; j < n; j++) for (let i = 0; i <= j; i++) gradient[j]! += r[i * n + j]! * qtb[i]!;
  return Math.hypot(...gradient);
}
