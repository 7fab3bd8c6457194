/**
 * `sukima/uncertainty`: the uncertainty of any formula, by the law of propagation, by Monte Carlo and at the worst case.
 *
 * Knows no joinery. Every number is in its own input's or output's unit.
 */

// What an input may be

export {
  arcSine,
  curvilinearTrapezoid,
  type Distribution,
  normal,
  rectangular,
  studentT,
  trapezoidal,
  triangular,
} from "./uncertainty/distributions.js";
export type { Correlation, InputQuantity, Model, VectorModel } from "./uncertainty/inputs.js";
export {
  degreesOfFreedomFromReliability,
  type TypeA,
  typeA,
  typeACorrelation,
} from "./uncertainty/type-a.js";

// What follows for the result

export type { SecondOrder } from "./uncertainty/differences.js";
export {
  checkFirstOrder,
  type FirstOrderCheck,
  type FirstOrderCheckOptions,
} from "./uncertainty/first-order-check.js";
export {
  type BudgetLine,
  type JointPropagation,
  type JointPropagationOptions,
  jointPropagation,
  lawOfPropagation,
  type Propagation,
  type PropagationOptions,
  type PropagationStatus,
} from "./uncertainty/law-of-propagation.js";
export {
  type AdaptiveMonteCarlo,
  type AdaptiveOptions,
  adaptiveMonteCarlo,
  type JointMonteCarlo,
  jointMonteCarlo,
  type MonteCarlo,
  type MonteCarloOptions,
  monteCarlo,
} from "./uncertainty/monte-carlo.js";
export type { Interval, OutputSummary } from "./uncertainty/monte-carlo-blocks.js";
export {
  type SensitivityIndex,
  type SensitivityIndices,
  type SensitivityLine,
  type SensitivityOptions,
  sensitivityIndices,
} from "./uncertainty/sensitivity.js";
export {
  type BoxSide,
  type Extreme,
  type WorstCase,
  type WorstCaseOptions,
  worstCase,
} from "./uncertainty/worst-case.js";

// A curve through measured points

export {
  type LeastSquaresFit,
  type LeastSquaresProblem,
  leastSquares,
} from "./core/numeric/least-squares.js";
export type { MinimiseOptions, MinimiseStatus, Minimum } from "./core/numeric/minimise-terms.js";
