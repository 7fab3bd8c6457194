// Elements are read without bounds checks here: checked reads in the solvers and the likelihood made a calibration 8 to 10 % slower.

import { refuse } from "../errors.js";
import { columnLengths, dividedColumns, householderQr, lengthOf } from "./linear-algebra.js";
import { trustStep } from "./trust-step.js";

/** When a minimisation starts and ends. */
export interface MinimiseOptions {
  /** Largest number of steps; default 1000. */
  readonly mostSteps?: number;
  /** Ends when a full step is shorter than this share of x; default 1e-11. */
  readonly stepTolerance?: number;
  /** Noise of the value, in its own unit: smaller differences are ignored and smaller decreases not sought; default 0, for a value exact to rounding. */
  readonly valueTolerance?: number;
  /** Whether the terms have kinks. If so, a point where no significant step lowers the value counts as a minimum, whatever the gradient; default false. */
  readonly kinked?: boolean;
  /** First radii, tried one after the other until one converges, as factors of the start's extent; default {@link FIRST_RADII}. */
  readonly firstRadii?: readonly number[];
}

/** Why a minimisation ended; the first four mean a minimum. */
export type MinimiseStatus = "step" | "gradient" | "arithmetic" | "kink" | "lost" | "stuck" | "steps";

/** Result of a minimisation, with the value in the unit of the terms; `sentence` states the ending in words. */
export interface Minimum {
  /** The unknowns at the minimum, each in its own unit. */
  readonly x: Float64Array;
  /** @internal */
  readonly terms: Terms;
  readonly status: MinimiseStatus;
  readonly converged: boolean;
  readonly sentence: string;
  /** Number of steps taken. */
  readonly steps: number;
  /** Largest cosine (a ratio, 0 to 1) between the residuals and a column of the Jacobian: 0 at a stationary point. */
  readonly gradientCosine: number;
}

const DEFAULT_STEPS = 1000;
const DEFAULT_STEP_TOLERANCE = 1e-11;
/** Initial radius, as a multiple of ‖D·x‖ (Moré 1978 gives 0.1 to 100). Smaller ones are tried when a larger one moved an unknown so far that it lost its influence. */
export const FIRST_RADII = [100, 1, 0.01];
/** Least share of the scale given to each unknown, so that one with little influence at the current point cannot move arbitrarily far. */
const LEAST_INFLUENCE = 1e-6;
/** An unknown is lost when the length of its column has shrunk to this share of its maximum … */
const LOST = 1e-8;
/** … and changing it by this many times its largest value so far would change the residuals by less than their own size. */
const UNTOLD = 1e3;
/** Below this cosine the gradient is zero to rounding. */
const FLAT = 1e-14;
/** Below this cosine, a point whose value rounding does not let decrease further is accepted. */
const FLAT_ENOUGH = 1e-5;
/** Relative rounding error of the value. */
const NOISE = 4 * Number.EPSILON;
/** A decrease of less than this many rounding errors is not significant: then the gradient decides … */
const UNCLEAR = 1e3;
/** … and must fall to this share of its size. */
const FLATTER = 0.9;

const CONVERGED: readonly MinimiseStatus[] = ["step", "gradient", "arithmetic", "kink"];
const SENTENCES: Record<MinimiseStatus, string> = {
  step: "Ended on a full step too short to matter.",
  gradient: "Ended on a gradient of zero to rounding.",
  arithmetic: "Ended where the arithmetic allows no lower value, with a gradient near zero.",
  kink: "Ended on a kink: no step that matters lowers the value.",
  lost: "Not converged: an unknown went so far that it no longer matters to any term.",
  stuck: "Not converged: no lower value was found along a gradient that is not zero.",
  steps: "Not converged: out of steps.",
};

/**
 * Minimises a sum of terms by a Levenberg–Marquardt trust region (Moré 1978) on the terms' curvatures.
 * With ρ = ½m² it is nonlinear least squares; with ρ = −log likelihood it is maximum likelihood by generalised Gauss–Newton.
 * The result does not depend on the units of the unknowns. It is a local minimum that depends on the start.
 *
 * @param evaluate the terms at x, always the same number. A point with a non-finite term counts as infinitely bad, and the step is shortened.
 * @throws RangeError when the start is empty or has no finite value, or the slopes do not fit the unknowns.
 */
export function minimiseTerms(
  evaluate: (x: Float64Array) => Terms,
  start: ArrayLike<number>,
  options: MinimiseOptions = {},
): Minimum {
  const x = Float64Array.from(start);
  const terms = evaluate(x.slice());
  requireStart(x, terms);
  let best: Minimum | null = null;
  for (const firstRadius of options.firstRadii ?? FIRST_RADII) {
    const found = descend(evaluate, x, terms, firstRadius, options);
    if (found.converged) return found;
    if (best === null || found.terms.value < best.terms.value) best = found;
  }
  return best!;
}

function requireStart(x: Float64Array, terms: Terms): void {
  const place = `[${x.join(", ")}]`;
  if (x.length === 0) refuse("there is nothing to solve for", "one unknown at least", place, "minimiseTerms");
  const { slope, jacobian } = terms;
  if (jacobian.length !== slope.length * x.length)
    refuse(
      "the slopes do not fit the terms",
      `one for each term and unknown: ${slope.length} × ${x.length}`,
      jacobian.length,
      "minimiseTerms",
    );
  if (!areFinite(terms))
    refuse(
      "the starting point has no finite value",
      "every term and every slope there must be a finite number",
      place,
      "minimiseTerms",
    );
}

function descend(
  evaluate: (x: Float64Array) => Terms,
  start: Float64Array,
  startTerms: Terms,
  firstRadius: number,
  options: MinimiseOptions,
): Minimum {
  const { mostSteps = DEFAULT_STEPS, stepTolerance = DEFAULT_STEP_TOLERANCE } = options;
  const { valueTolerance = 0, kinked = false } = options;
  const n = start.length;
  let [x, terms, here] = [start, startTerms, weighTerms(startTerms, n)];
  const longest = new Float64Array(n);
  const furthest = new Float64Array(n);
  let radius = 0;
  const end = (status: MinimiseStatus, steps: number): Minimum => {
    const verdict = status !== "steps" && hasLost(here, longest, furthest) ? "lost" : status;
    return {
      x,
      terms,
      steps,
      status: verdict,
      gradientCosine: here.cosine,
      converged: CONVERGED.includes(verdict),
      sentence: SENTENCES[verdict],
    };
  };
  for (let steps = 1; steps <= mostSteps; steps++) {
    for (let j = 0; j < n; j++) {
      longest[j] = Math.max(longest[j]!, here.lengths[j]!);
      furthest[j] = Math.max(furthest[j]!, Math.abs(x[j]!));
    }
    const scale = scaleOf(x, longest);
    const extent = lengthOf(x.map((value, j) => value * scale[j]!));
    if (here.cosine <= FLAT) return end("gradient", steps);
    if (steps === 1) radius = firstRadius * (extent || here.size);
    const matrix = dividedColumns(here.matrix, scale);
    const triangle = householderQr(matrix, here.residual.length, n, here.residual);
    const rounding = NOISE * Math.max(Math.abs(terms.value), here.size ** 2 / 2);
    const noise = Math.max(rounding, valueTolerance);
    for (;;) {
      const { step, damping, length } = trustStep(triangle, radius);
      const promised = promisedFall(matrix, here.residual, step);
      const next = x.map((value, j) => value + step[j]! / scale[j]!);
      const there = evaluate(next.slice());
      const fall = areFinite(there) ? terms.value - there.value : Number.NEGATIVE_INFINITY;
      const seen = fall > -UNCLEAR * rounding ? weighTerms(there, n) : null;
      const still = damping === 0 && length <= stepTolerance * extent && fall >= -noise;
      const flattening = seen ? seen.cosine / here.cosine : Number.POSITIVE_INFINITY;
      const decidedByGradient = promised <= UNCLEAR * rounding && flattening < FLATTER;
      const ratio = fall / promised;
      if (seen && (still || decidedByGradient || (ratio > 1e-4 && fall > 0))) {
        [x, terms, here] = [next, there, seen];
        if (still) return end("step", steps);
        if (decidedByGradient ? flattening < 0.5 : ratio > 0.75 || damping === 0)
          radius = Math.max(radius, 2 * length);
        else if (!decidedByGradient && ratio < 0.25) radius = 0.5 * length;
        break;
      }
      if (promised <= noise || length <= (kinked ? stepTolerance : Number.EPSILON) * extent) {
        if (here.cosine > FLAT_ENOUGH) return end(kinked ? "kink" : "stuck", steps);
        if (!kinked) ({ x, terms, here } = polish(evaluate, { x, terms, here }, scale));
        return end("arithmetic", steps);
      }
      radius = 0.25 * Math.min(length, radius);
    }
  }
  return end("steps", mostSteps);
}

/** Scale of each unknown: the greatest length its column has had, or the scale that gives it its least share. */
function scaleOf(x: Float64Array, longest: Float64Array): Float64Array {
  const least = LEAST_INFLUENCE * lengthOf(x.map((value, j) => value * longest[j]!));
  return longest.map((length, j) => (x[j] === 0 ? length : Math.max(length, least / Math.abs(x[j]!))) || 1);
}

/** Whether an unknown moved so far that the terms no longer depend on it; the noise of one term is taken as the residuals' length divided by √terms. */
function hasLost(
  { lengths, size, residual }: WeightedTerms,
  longest: Float64Array,
  furthest: Float64Array,
): boolean {
  const noise = size / Math.sqrt(residual.length);
  return lengths.some((length, j) => length <= LOST * longest[j]! && noise > UNTOLD * length * furthest[j]!);
}

/** A sum of terms ρ_i(m_i(x)) at one x: its value, and for each term the slope and curvature of ρ_i with respect to m_i, and the row ∂m_i/∂x. */
export interface Terms {
  /** Σ ρ_i. */
  readonly value: number;
  /** ρ_i′. */
  readonly slope: Float64Array;
  /** ρ_i″ ≥ 0, or a non-negative approximation of it. */
  readonly curvature: Float64Array;
  /** ∂m_i/∂x, row-major (term, unknown). */
  readonly jacobian: Float64Array;
}

/** The terms as rows √ρ″·∂m and residuals ρ′/√ρ″, whose least squares step is the Gauss–Newton step. */
interface WeightedTerms {
  readonly matrix: Float64Array;
  readonly residual: Float64Array;
  /** Length of each column, and of the residuals. */
  readonly lengths: Float64Array;
  readonly size: number;
  /** Largest cosine between the residuals and a column: 0 at a stationary point. */
  readonly cosine: number;
}

/** Weights the terms of `n` unknowns; terms without curvature contribute nothing. */
function weighTerms({ slope, curvature, jacobian }: Terms, n: number): WeightedTerms {
  const matrix = new Float64Array(jacobian.length);
  const residual = new Float64Array(slope.length);
  for (let i = 0; i < slope.length; i++) {
    const root = Math.sqrt(curvature[i]!);
    if (!(root > 0)) continue;
    residual[i] = slope[i]! / root;
    for (let j = 0; j < n; j++) matrix[i * n + j] = root * jacobian[i * n + j]!;
  }
  const lengths = columnLengths(matrix, n);
  const size = lengthOf(residual);
  return { matrix, residual, lengths, size, cosine: largestCosine(matrix, residual, lengths, size) };
}

function largestCosine(
  matrix: Float64Array,
  residual: Float64Array,
  lengths: Float64Array,
  size: number,
): number {
  const n = lengths.length;
  return lengths.reduce((largest, length, j) => {
    if (!(length > 0 && size > 0)) return largest;
    const sum = residual.reduce((s, r, i) => s + (r / size) * (matrix[i * n + j]! / length), 0);
    return Math.max(largest, Math.abs(sum));
  }, 0);
}

/** Whether every number in the terms is finite. */
function areFinite({ value, slope, curvature, jacobian }: Terms): boolean {
  return Number.isFinite(value) && [slope, curvature, jacobian].every((list) => list.every(Number.isFinite));
}

/** Decrease of ½‖residual + matrix·step‖² along a step. */
function promisedFall(matrix: Float64Array, residual: Float64Array, step: Float64Array): number {
  const n = step.length;
  let fall = 0;
  for (let i = 0; i < residual.length; i++) {
    let move = 0;
    for (let j = 0; j < n; j++) move += matrix[i * n + j]! * step[j]!;
    fall -= move * (residual[i]! + move / 2);
  }
  return fall;
}

/** A point, its terms, and its weighted terms. */
interface Place {
  readonly x: Float64Array;
  readonly terms: Terms;
  readonly here: WeightedTerms;
}

const MOST_STEPS = 50;
/** Each further step must be at most this share of the one before. */
const NEARER = 0.9;
/** Relative increase allowed in the value: small residuals of large models are mostly rounding. */
const LEVEL = 1e-8;

/**
 * Takes full Gauss–Newton steps once rounding hides differences of the value, for as long as the steps become shorter.
 *
 * @param scale of each unknown, > 0.
 */
function polish(evaluate: (x: Float64Array) => Terms, from: Place, scale: Float64Array): Place {
  let place = from;
  let step = fullStep(place.here, scale);
  for (let k = 0; k < MOST_STEPS && step.length > 0; k++) {
    const x = place.x.map((value, j) => value + step.by[j]! / scale[j]!);
    const terms = evaluate(x.slice());
    const rise = terms.value - place.terms.value;
    if (!areFinite(terms) || rise > LEVEL * Math.max(Math.abs(terms.value), place.here.size ** 2)) break;
    const here = weighTerms(terms, x.length);
    const next = fullStep(here, scale);
    if (!(next.length < NEARER * step.length)) break;
    place = { x, terms, here };
    step = next;
  }
  return place;
}

function fullStep(
  { matrix, residual }: WeightedTerms,
  scale: Float64Array,
): { by: Float64Array; length: number } {
  const n = scale.length;
  const triangle = householderQr(dividedColumns(matrix, scale), residual.length, n, residual);
  const by = trustStep(triangle, Number.POSITIVE_INFINITY).step;
  return { by, length: lengthOf(by) };
}
