import type { JointInputs } from "./inputs.js";

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
  const effect = Float64Array.from(u, (ui, i) => (ui === 0 ? 0 : ui * sensitivity[i]!));
  const covariance = effect.map((ei, i) => {
    let sum = 0;
    for (let j = 0; j < n; j++) sum += correlation[i * n + j]! * effect[j]!;
    return ei * sum;
  });
  const variance = covariance.reduce((a, b) => a + b, 0);
  const lines = names.map((name, i) => ({
    name,
    distribution: distributions[i]!.kind,
    estimate: estimates[i]!,
    standardUncertainty: u[i]!,
    degreesOfFreedom: degreesOfFreedom[i]!,
    sensitivityCoefficient: sensitivity[i]!,
    contribution: Math.abs(effect[i]!),
    share: variance > 0 ? covariance[i]! / variance : 0,
  }));
  return lines.sort((a, b) => b.contribution - a.contribution);
}
