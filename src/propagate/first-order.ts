import { refuse } from "../numeric/refuse.js";
import { slopeAlong } from "./differences.js";
import type { JointInputs, Model } from "./inputs.js";

/** Value and slopes of a model at the estimates. */
export interface FirstOrder {
  readonly estimate: number;
  /** ∂f/∂xᵢ. */
  readonly gradient: Float64Array;
  /** Σ over covariances: u² = cᵀ·Σ·c, formed as the length of Fᵀ·c. */
  readonly standardUncertainty: number;
}

/**
 * Value, gradient and first-order standard uncertainty (JCGM 100, 5.1 and 5.2). The gradient is the caller's, or found
 * by extrapolated central differences that start at one standard uncertainty.
 * @throws RangeError when the model or its slope is not finite at the estimates
 */
export function firstOrder(
  model: Model,
  joint: JointInputs,
  gradient?: (x: Float64Array) => ArrayLike<number>,
): FirstOrder {
  const { estimates, standardUncertainties: u, factor, names } = joint;
  const n = names.length;
  const estimate = model(estimates.slice());
  if (!Number.isFinite(estimate))
    refuse(
      "the model gives no number at the estimates",
      "its value must be finite",
      estimate,
      "lawOfPropagation",
    );
  const c = Float64Array.from(
    gradient ? gradient(estimates.slice()) : names.map((_, i) => slope(model, estimates, u, i)),
  );
  if (c.length !== n)
    refuse("the gradient has the wrong length", `one slope an input, ${n}`, c.length, "gradient");
  for (let i = 0; i < n; i++)
    if (!Number.isFinite(c[i]!))
      refuse("the model has no slope at the estimates", "it must be differentiable there", c[i], names[i]!);
  return { estimate, gradient: c, standardUncertainty: Math.hypot(...transposeTimes(factor, c)) };
}

function slope(model: Model, x: Float64Array, u: Float64Array, i: number): number {
  const direction = new Float64Array(x.length);
  const step = u[i]! > 0 && Number.isFinite(u[i]!) ? u[i]! : 1e-3 * Math.max(1, Math.abs(x[i]!));
  direction[i] = step;
  return slopeAlong(model, x, direction).value / step;
}

/** Fᵀ·c for a row-major n × n matrix F. */
export function transposeTimes(factor: Float64Array, c: ArrayLike<number>): Float64Array {
  const n = c.length;
  return Float64Array.from({ length: n }, (_, k) => {
    let sum = 0;
    for (let i = 0; i < n; i++) sum += factor[i * n + k]! * c[i]!;
    return sum;
  });
}
