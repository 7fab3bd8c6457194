import { at } from "../core/numeric/dense.js";
import { tQuantile } from "../core/numeric/student-t.js";
import {
  type FirstOrder,
  firstOrder,
  hasKink,
  type SecondOrder,
  secondOrder,
  transposeTimes,
} from "./differences.js";
import { needProbability } from "./distributions.js";
import {
  type Correlation,
  type InputQuantity,
  type JointInputs,
  joinInputs,
  type Model,
  type VectorModel,
} from "./inputs.js";
import { percent, significant } from "./monte-carlo-blocks.js";
import { welchSatterthwaite } from "./type-a.js";

export const DEFAULT_COVERAGE_PROBABILITY = 0.95;

/** What the law of propagation takes into account. */
export interface PropagationOptions {
  readonly correlations?: readonly Correlation[];
  /** Probability p of the coverage interval, 0 < p < 1; default {@link DEFAULT_COVERAGE_PROBABILITY}. */
  readonly coverageProbability?: number;
  /** ∂f/∂x at x, unit of the output by unit of each input, if the caller knows it; otherwise central differences with step control. */
  readonly gradient?: (x: Float64Array) => ArrayLike<number>;
  /** Also the second-order terms (about 10·n² values of the model); they then set the uncertainty. Default false. */
  readonly secondOrder?: boolean;
  /** Truncate effective degrees of freedom to whole ones, as JCGM 100, G.4.1 does. Default false. */
  readonly truncateDegreesOfFreedom?: boolean;
}

/**
 * How the result may be read: `smooth` as it stands; `flat` when every contribution is zero, so the first order says
 * nothing; `kinked` when the model's slope jumps at the estimates, so there is no one slope to propagate.
 */
export type PropagationStatus = "smooth" | "flat" | "kinked";

/** Result of the law of propagation of uncertainty. */
export interface Propagation {
  readonly status: PropagationStatus;
  readonly sentence: string;
  /** Value of the model at the inputs' estimates, and its standard uncertainty, in the output's unit. */
  readonly estimate: number;
  readonly standardUncertainty: number;
  /** Effective degrees of freedom, > 0, Infinity where all are. */
  readonly degreesOfFreedom: number;
  /** Coverage probability of the interval, 0 to 1. */
  readonly coverageProbability: number;
  /** k, the factor from Student's t at the effective degrees of freedom. */
  readonly coverageFactor: number;
  /** U = k·u, in the output's unit. */
  readonly expandedUncertainty: number;
  /** estimate ± U, in the output's unit. */
  readonly interval: readonly [number, number];
  /** Largest contribution first; of the first order only. */
  readonly budget: readonly BudgetLine[];
  /** Names of the inputs along which the slope jumps. */
  readonly kinks: readonly string[];
  /** `null` unless asked for. */
  readonly secondOrder: SecondOrder | null;
}

/**
 * Law of propagation of uncertainty (JCGM 100:2008, clause 5), with correlations, effective degrees of freedom
 * (Welch–Satterthwaite, G.4.1) and, on request, second-order terms.
 *
 * The Welch–Satterthwaite formula holds for independent inputs. Where a correlated input has finite degrees of freedom
 * the smallest ν of all contributing inputs is taken instead, the lower bound that formula itself has.
 * @throws RangeError for inputs or correlations that contradict themselves, a model that is not finite at the estimates
 * @example
 * const inputs = [
 *   { name: "x", distribution: normal(3, 0.3) },
 *   { name: "y", distribution: normal(4, 0.4) },
 * ];
 * lawOfPropagation(([x, y]) => x + y, inputs).standardUncertainty // 0.5
 */
export function lawOfPropagation(
  model: Model,
  inputs: readonly InputQuantity[],
  options: PropagationOptions = {},
): Propagation {
  const { coverageProbability = DEFAULT_COVERAGE_PROBABILITY } = options;
  needProbability(coverageProbability, "the coverage probability", "lawOfPropagation");
  const joint = joinInputs(inputs, options.correlations);
  const first = firstOrder(model, joint, options.gradient);
  const second = options.secondOrder ? secondOrder(model, joint, first) : null;
  const budget = uncertaintyBudget(joint, first.gradient);
  const kinks = kinkedInputs(model, joint);
  const standardUncertainty = second ? second.standardUncertainty : first.standardUncertainty;
  const nu = effectiveDegreesOfFreedom(budget, joint, first.standardUncertainty);
  const degreesOfFreedom = options.truncateDegreesOfFreedom ? Math.max(1, Math.floor(nu)) : nu;
  const coverageFactor = tQuantile((1 + coverageProbability) / 2, degreesOfFreedom);
  const expandedUncertainty = coverageFactor * standardUncertainty;
  const status = kinks.length > 0 ? "kinked" : first.standardUncertainty === 0 ? "flat" : "smooth";
  return {
    status,
    sentence: sentenceOf(status, first, standardUncertainty, budget, kinks),
    estimate: first.estimate,
    standardUncertainty,
    degreesOfFreedom,
    coverageProbability,
    coverageFactor,
    expandedUncertainty,
    interval: [first.estimate - expandedUncertainty, first.estimate + expandedUncertainty],
    budget,
    kinks,
    secondOrder: second,
  };
}

function effectiveDegreesOfFreedom(
  budget: readonly BudgetLine[],
  joint: JointInputs,
  standardUncertainty: number,
): number {
  const parts = budget.filter((line) => line.contribution > 0);
  const mixed = parts.some(
    (line) => joint.correlated[joint.names.indexOf(line.name)] && line.degreesOfFreedom < Infinity,
  );
  if (mixed) return Math.min(...parts.map((line) => line.degreesOfFreedom));
  const independent = parts.filter((line) => !joint.correlated[joint.names.indexOf(line.name)]);
  const rest = standardUncertainty ** 2 - independent.reduce((sum, line) => sum + line.contribution ** 2, 0);
  // Correlated inputs, all taken as exactly known here, count as one part with infinite degrees of freedom.
  return welchSatterthwaite([
    ...independent.map((line) => ({
      standardUncertainty: line.contribution,
      degreesOfFreedom: line.degreesOfFreedom,
    })),
    { standardUncertainty: Math.sqrt(Math.max(0, rest)), degreesOfFreedom: Infinity },
  ]);
}

function kinkedInputs(model: Model, { names, estimates, standardUncertainties: u }: JointInputs): string[] {
  return names.filter((_, i) => {
    if (!(at(u, i) > 0)) return false;
    const direction = new Float64Array(names.length);
    direction[i] = at(u, i);
    return hasKink(model, estimates, direction);
  });
}

function sentenceOf(
  status: PropagationStatus,
  first: FirstOrder,
  u: number,
  budget: readonly BudgetLine[],
  kinks: readonly string[],
): string {
  if (status === "kinked")
    return `The model's slope jumps at the estimates (${kinks.join(", ")}): no first-order result can be trusted there; use Monte Carlo.`;
  if (status === "flat")
    return "No input moves the output to first order at these estimates: the first order says nothing here; use Monte Carlo.";
  if (Number.isNaN(u))
    return "The second-order terms make the variance negative: the model is too curved; use Monte Carlo.";
  const [largest] = budget;
  return `${significant(first.estimate, 6)} with standard uncertainty ${significant(u)}; the largest part is ${largest!.name} with ${percent(largest!.share)} of the variance.`;
}

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

/** What inputs of several results have in common. */
export interface JointPropagationOptions {
  readonly correlations?: readonly Correlation[];
}

/**
 * Law of propagation for a model with several outputs: C·Σ·Cᵀ, so that the outputs' own correlations are not lost
 * (JCGM 100:2008, H.2; JCGM 102).
 * @throws RangeError as `lawOfPropagation`
 * @example
 * const inputs = [{ name: "x", distribution: normal(3, 0.3) }];
 * jointPropagation(([x]) => [x, -x], inputs).correlation[0][1] // -1
 */
export function jointPropagation(
  model: VectorModel,
  inputs: readonly InputQuantity[],
  { correlations }: JointPropagationOptions = {},
): JointPropagation {
  const joint = joinInputs(inputs, correlations);
  const outputs = model(joint.estimates.slice()).length;
  const parts = Array.from({ length: outputs }, (_, k) => firstOrder((x) => at(model(x), k), joint));
  const rows = parts.map((part) => transposeTimes(joint.factor, part.gradient));
  const covariance = rows.map((a) => rows.map((b) => a.reduce((sum, v, i) => sum + v * at(b, i), 0)));
  return {
    estimates: parts.map((part) => part.estimate),
    standardUncertainties: parts.map((part) => part.standardUncertainty),
    covariance,
    correlation: covariance.map((row, i) =>
      row.map((c, j) => (i === j ? 1 : c / Math.sqrt(at(at(covariance, i), i) * at(at(covariance, j), j)))),
    ),
  };
}

/** One line of an uncertainty budget. */
export interface BudgetLine {
  readonly name: string;
  readonly distribution: string;
  /** Estimate and standard uncertainty, in the input's own unit. */
  readonly estimate: number;
  readonly standardUncertainty: number;
  /** Degrees of freedom of that uncertainty, > 0; Infinity where it is taken as exactly known. */
  readonly degreesOfFreedom: number;
  /** ∂f/∂x, unit of the output per unit of the input. */
  readonly sensitivityCoefficient: number;
  /** |c·u|, in the unit of the output. */
  readonly contribution: number;
  /** Share of the output's variance; the shares of all lines add to 1. Negative where a correlation cancels. */
  readonly share: number;
}

/** The budget of an output, largest contribution first; equal ones in the order of the inputs. */
export function uncertaintyBudget(joint: JointInputs, sensitivity: ArrayLike<number>): BudgetLine[] {
  const { names, distributions, estimates, standardUncertainties: u, degreesOfFreedom, correlation } = joint;
  const n = names.length;
  const effect = Float64Array.from(u, (ui, i) => (ui === 0 ? 0 : ui * at(sensitivity, i)));
  const covariance = effect.map((ei, i) => {
    let sum = 0;
    for (let j = 0; j < n; j++) sum += at(correlation, i * n + j) * at(effect, j);
    return ei * sum;
  });
  const variance = covariance.reduce((a, b) => a + b, 0);
  const lines = names.map((name, i) => ({
    name,
    distribution: at(distributions, i).kind,
    estimate: at(estimates, i),
    standardUncertainty: at(u, i),
    degreesOfFreedom: at(degreesOfFreedom, i),
    sensitivityCoefficient: at(sensitivity, i),
    contribution: Math.abs(at(effect, i)),
    share: variance > 0 ? at(covariance, i) / variance : 0,
  }));
  return lines.sort((a, b) => b.contribution - a.contribution);
}
