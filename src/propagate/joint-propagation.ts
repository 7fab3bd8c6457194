import { firstOrder, transposeTimes } from "./first-order.js";
import { type Correlation, type InputQuantity, joinInputs, type VectorModel } from "./inputs.js";

/** Several outputs of the same inputs, to first order. */
export interface JointPropagation {
  /** Estimate and standard uncertainty of each output, in its own unit. */
  readonly estimates: readonly number[];
  readonly standardUncertainties: readonly number[];
  /** Covariance matrix of the outputs, each entry in the units of its two. */
  readonly covariance: readonly (readonly number[])[];
  /** Correlation matrix of the outputs, −1 to 1; NaN where an output has no uncertainty. */
  readonly correlation: readonly (readonly number[])[];
}

export interface JointPropagationOptions {
  readonly correlations?: readonly Correlation[];
}

/**
 * Law of propagation for a model with several outputs: C·Σ·Cᵀ, so that the outputs' own correlations are not lost
 * (JCGM 100:2008, H.2; JCGM 102).
 * @throws RangeError as `lawOfPropagation`
 */
export function jointPropagation(
  model: VectorModel,
  inputs: readonly InputQuantity[],
  { correlations }: JointPropagationOptions = {},
): JointPropagation {
  const joint = joinInputs(inputs, correlations);
  const outputs = model(joint.estimates.slice()).length;
  const parts = Array.from({ length: outputs }, (_, k) => firstOrder((x) => model(x)[k]!, joint));
  const rows = parts.map((part) => transposeTimes(joint.factor, part.gradient));
  const covariance = rows.map((a) => rows.map((b) => a.reduce((sum, v, i) => sum + v * b[i]!, 0)));
  return {
    estimates: parts.map((part) => part.estimate),
    standardUncertainties: parts.map((part) => part.standardUncertainty),
    covariance,
    correlation: covariance.map((row, i) =>
      row.map((c, j) => (i === j ? 1 : c / Math.sqrt(covariance[i]![i]! * covariance[j]![j]!))),
    ),
  };
}
