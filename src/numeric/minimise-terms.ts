import { householderQr } from "./householder-qr.js";
import { scaledLength, trustStep } from "./trust-step.js";

/** A sum of terms ρ_i(m_i(x)) at one x: its value, and for each term the slope and curvature of ρ_i by m_i with the row ∂m_i/∂x. */
export interface Terms {
  /** Σ ρ_i. */
  readonly value: number;
  /** ρ_i′. */
  readonly slope: Float64Array;
  /** ρ_i″ ≥ 0, or a convex stand-in for it. */
  readonly curvature: Float64Array;
  /** ∂m_i/∂x, row-major (term, unknown). */
  readonly jacobian: Float64Array;
}

export interface MinimiseOptions {
  /** Default 500. */
  readonly mostSteps?: number;
  /** Ends when a full step is shorter than this share of x; default 1e-11. */
  readonly stepTolerance?: number;
}

export type MinimiseStatus = "step" | "gradient" | "arithmetic" | "lost" | "stuck" | "steps";

/** How a minimisation ended; `sentence` says it in words. */
export interface Minimum {
  readonly x: Float64Array;
  readonly terms: Terms;
  readonly status: MinimiseStatus;
  readonly converged: boolean;
  readonly sentence: string;
  readonly steps: number;
  /** Largest cosine between the residuals and a column of the Jacobian: 0 at a stationary point. */
  readonly gradientCosine: number;
}

const DEFAULT_STEPS = 500;
const DEFAULT_STEP_TOLERANCE = 1e-11;
/** First radius, as a multiple of ‖D·x‖ (Moré 1978 gives 0.1 to 100); the smaller ones are tried when a larger one has thrown an unknown so far that it lost its influence. */
const FIRST_RADII = [100, 1, 0.01];
/** An unknown has lost its influence when its column has shrunk to this share of the longest it has been. */
const LOST = 1e-8;
/** Below this cosine the gradient is rounding. */
const FLAT = 1e-14;
/** At this cosine a point where the arithmetic allows no lower value is accepted. */
const FLAT_ENOUGH = 1e-5;

const SENTENCES: Record<MinimiseStatus, string> = {
  step: "Ended on a full step too short to matter.",
  gradient: "Ended on a gradient of zero to rounding.",
  arithmetic: "Ended where the arithmetic allows no lower value, with a gradient near zero.",
  lost: "Not converged: an unknown went so far that it no longer matters to any term.",
  stuck: "Not converged: no lower value was found along a gradient that is not zero.",
  steps: "Not converged: out of steps.",
};

/**
 * Least value of a sum of terms, by a Levenberg–Marquardt trust region (Moré 1978) on the terms' curvatures.
 * With ρ = ½m² it is nonlinear least squares; with ρ = −log likelihood it is maximum likelihood by generalised Gauss–Newton.
 *
 * @param evaluate the terms at x; a value that is not finite counts as infinitely bad, and the step is shortened.
 * @throws RangeError when the start itself has no finite value.
 */
export function minimiseTerms(
  evaluate: (x: Float64Array) => Terms,
  start: ArrayLike<number>,
  { mostSteps = DEFAULT_STEPS, stepTolerance = DEFAULT_STEP_TOLERANCE }: MinimiseOptions = {},
): Minimum {
  let best: Minimum | null = null;
  for (const firstRadius of FIRST_RADII) {
    const found = descend(evaluate, start, mostSteps, stepTolerance, firstRadius);
    if (found.converged) return found;
    if (best === null || found.terms.value < best.terms.value) best = found;
  }
  return best!;
}

function descend(
  evaluate: (x: Float64Array) => Terms,
  start: ArrayLike<number>,
  mostSteps: number,
  stepTolerance: number,
  firstRadius: number,
): Minimum {
  let x = Float64Array.from(start);
  let terms = evaluate(x);
  if (!Number.isFinite(terms.value))
    throw new RangeError("The starting point has no finite value; start elsewhere.");
  const n = x.length;
  const scale = new Float64Array(n);
  let radius = 0;
  const end = (status: MinimiseStatus, steps: number, gradientCosine: number): Minimum => ({
    ...{ x, terms, status, steps, gradientCosine },
    converged: status === "step" || status === "gradient" || status === "arithmetic",
    sentence: SENTENCES[status],
  });
  let cosine = Number.POSITIVE_INFINITY;
  for (let steps = 1; steps <= mostSteps; steps++) {
    const { matrix, residual } = weighted(terms, n);
    raiseScale(scale, matrix, n);
    cosine = gradientCosine(matrix, residual, n);
    if (columnNorms(matrix, n).some((norm, j) => norm < LOST * scale[j]!)) return end("lost", steps, cosine);
    if (cosine <= FLAT) return end("gradient", steps, cosine);
    if (steps === 1) radius = firstRadius * (scaledLength(x, scale) || 1);
    const triangle = householderQr(matrix, residual.length, n, residual);
    for (;;) {
      const { step, damping, length } = trustStep(triangle, scale, radius);
      const promised = promisedFall(matrix, residual, step, n);
      const next = x.map((value, i) => value + step[i]!);
      const there = evaluate(next);
      const fall = terms.value - there.value;
      const noise = 4 * Number.EPSILON * Math.abs(terms.value);
      const small = length <= stepTolerance * scaledLength(x, scale);
      if (damping === 0 && small && !(fall < -noise)) {
        x = next;
        terms = there;
        return end("step", steps, cosine);
      }
      const ratio = Number.isFinite(fall) ? fall / promised : -1;
      if (ratio > 1e-4 && fall > 0) {
        x = next;
        terms = there;
        if (ratio > 0.75 || damping === 0) radius = Math.max(radius, 2 * length);
        else if (ratio < 0.25) radius = 0.5 * length;
        break;
      }
      if (promised <= noise && damping === 0 && flatter(there, cosine, n)) {
        x = next;
        terms = there;
        break;
      }
      if (promised <= noise || length <= Number.EPSILON * scaledLength(x, scale)) {
        return end(cosine <= FLAT_ENOUGH ? "arithmetic" : "stuck", steps, cosine);
      }
      radius = 0.25 * Math.min(length, radius);
    }
  }
  return end("steps", mostSteps, cosine);
}

/** Rows √ρ″·∂m and residuals ρ′/√ρ″, whose least squares step is the Gauss–Newton step; terms without curvature say nothing. */
function weighted(
  { slope, curvature, jacobian }: Terms,
  n: number,
): { matrix: Float64Array; residual: Float64Array } {
  const matrix = new Float64Array(jacobian.length);
  const residual = new Float64Array(slope.length);
  for (let i = 0; i < slope.length; i++) {
    const root = Math.sqrt(curvature[i]!);
    if (!(root > 0)) continue;
    residual[i] = slope[i]! / root;
    for (let j = 0; j < n; j++) matrix[i * n + j] = root * jacobian[i * n + j]!;
  }
  return { matrix, residual };
}

function columnNorms(matrix: Float64Array, n: number): Float64Array {
  const sums = new Float64Array(n);
  for (let i = 0; i < matrix.length; i++) sums[i % n]! += matrix[i]! ** 2;
  return sums.map(Math.sqrt);
}

/** Each unknown's scale is the longest its column has been. */
function raiseScale(scale: Float64Array, matrix: Float64Array, n: number): void {
  for (const [j, norm] of columnNorms(matrix, n).entries()) scale[j] = Math.max(scale[j]!, norm) || 1;
}

function gradientCosine(matrix: Float64Array, residual: Float64Array, n: number): number {
  const norms = columnNorms(matrix, n);
  const size = Math.hypot(...residual);
  const sums = new Float64Array(n);
  for (let i = 0; i < matrix.length; i++) sums[i % n]! += matrix[i]! * residual[Math.floor(i / n)]!;
  return sums.reduce(
    (worst, sum, j) => (norms[j]! * size > 0 ? Math.max(worst, Math.abs(sum) / (norms[j]! * size)) : worst),
    0,
  );
}

/** Whether the gradient is clearly nearer zero there: what decides where the value itself is lost in rounding. */
function flatter(there: Terms, cosine: number, n: number): boolean {
  const { matrix, residual } = weighted(there, n);
  return gradientCosine(matrix, residual, n) < 0.5 * cosine;
}

/** How far the quadratic model falls along a step. */
function promisedFall(matrix: Float64Array, residual: Float64Array, step: Float64Array, n: number): number {
  let fall = 0;
  for (let i = 0; i < residual.length; i++) {
    let move = 0;
    for (let j = 0; j < n; j++) move += matrix[i * n + j]! * step[j]!;
    fall -= move * (residual[i]! + move / 2);
  }
  return fall;
}
