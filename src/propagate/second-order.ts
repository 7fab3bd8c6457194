import { curvatureAlong, twistAlong } from "./differences.js";
import { type FirstOrder, transposeTimes } from "./first-order.js";
import type { JointInputs, Model } from "./inputs.js";

/** What curvature adds to the first order. */
export interface SecondOrder {
  /** ½·tr(H·Σ), by which the expectation differs from the value at the estimates. JCGM 100 does not add it. */
  readonly shift: number;
  /** Standard uncertainty with the next terms; NaN where they make the variance negative: too curved for this method. */
  readonly standardUncertainty: number;
  /** Parts of curvature alone, |½∂²f/∂x²|·u²·√2 or |∂²f/∂x∂y|·uₓ·u_y, largest first. Empty when inputs are correlated. */
  readonly terms: readonly {
    readonly inputs: readonly [string, string];
    readonly standardUncertainty: number;
  }[];
}

/**
 * Second-order terms of the law of propagation for (jointly) normal inputs:
 * u² = cᵀΣc + ½·tr(HΣHΣ) + Σ cᵢ Σᵢₗ fₗⱼₖ Σⱼₖ. For independent inputs it is the formula in the note to
 * JCGM 100:2008, 5.1.2, which holds for normal distributions; others have other fourth moments.
 *
 * Needs about 10·n² values of the model for n inputs.
 */
export function secondOrder(model: Model, joint: JointInputs, first: FirstOrder): SecondOrder {
  const { names, estimates: x, factor } = joint;
  const n = names.length;
  const directions = names.map((_, k) => Float64Array.from({ length: n }, (_, i) => factor[i * n + k]!));
  const active = directions.map((d) => d.some((v) => v !== 0));
  const independent = !joint.correlated.includes(true);
  let [trace, curvature] = [0, 0];
  const terms: SecondOrder["terms"][number][] = [];
  for (let j = 0; j < n; j++) {
    for (let k = 0; k <= j; k++) {
      if (!active[j] || !active[k]) continue;
      const { value, error } = curvatureAlong(model, x, directions[j]!, directions[k]!);
      const b = Math.abs(value) <= error ? 0 : value; // rounding of a straight model is no curvature
      if (j === k) trace += b;
      const variance = (j === k ? 0.5 : 1) * b * b;
      curvature += variance;
      if (independent && variance > 0)
        terms.push({ inputs: [names[k]!, names[j]!], standardUncertainty: Math.sqrt(variance) });
    }
  }
  const variance =
    first.standardUncertainty ** 2 + curvature + twist(model, joint, first, directions, active);
  return {
    shift: trace / 2,
    standardUncertainty: variance >= 0 ? Math.sqrt(variance) : Number.NaN,
    terms: terms.sort((a, b) => b.standardUncertainty - a.standardUncertainty),
  };
}

/** Σ cᵢ Σᵢₗ fₗⱼₖ Σⱼₖ: third derivatives once along Σ·c, twice along each column of the factor. */
function twist(
  model: Model,
  { names, estimates: x, factor }: JointInputs,
  { gradient, standardUncertainty: u }: FirstOrder,
  directions: readonly Float64Array[],
  active: readonly boolean[],
): number {
  if (u === 0) return 0;
  const n = names.length;
  const along = transposeTimes(factor, gradient);
  const p = x.map((_, i) => {
    let sum = 0;
    for (let k = 0; k < n; k++) sum += factor[i * n + k]! * along[k]!;
    return sum / u;
  });
  let total = 0;
  for (let k = 0; k < n; k++) {
    if (!active[k]) continue;
    const { value, error } = twistAlong(model, x, p, directions[k]!);
    if (Math.abs(value) > error) total += value;
  }
  return u * total;
}
