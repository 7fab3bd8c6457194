import { addScaled, at, entryOf, minus, quadraticForm, rowOf, rowsOf } from "../../core/numeric/dense.js";
import { normalCdf, normalQuantile } from "../../core/numeric/normal.js";
import { probesByJoint } from "../../model/cell/cell.js";
import { createSeater, type SeaterOptions } from "../../physics/kernel/fitted-kernel.js";
import { solveWithSlopes } from "../../physics/predict/equilibrium.js";
import { DEFAULT_CHECK_DIGITS } from "../../uncertainty/first-order-check.js";
import { type Interval, numericalTolerance } from "../../uncertainty/monte-carlo-blocks.js";
import type { ForecastSources } from "./forecast-sources.js";
import { COVERAGE_PROBABILITY } from "./tally-blocks.js";

/** An opening by the law of propagation of uncertainty (JCGM 100:2008, 5.1): normal about the gap at the mean errors, cut off below zero. */
export interface LinearAnswer {
  /** Signed gap at the expected errors, and its standard uncertainty, mm. */
  readonly estimate: number;
  readonly standardUncertainty: number;
  /** Probabilistically symmetric 95 % interval, mm, ≥ 0. */
  readonly interval: Interval;
  /** Chance of a gap beyond the limit. */
  readonly beyondGap: number;
}

/** Whether the first-order answer may be used instead of Monte Carlo (JCGM 101:2008, 8.1). */
export interface LinearVerdict {
  readonly status: "trusted" | "not trusted" | "undecided";
  /** Differences between the ends of the two intervals, mm, and the tolerance for them, mm (JCGM 101:2008, 8.1, one digit). */
  readonly differences: Interval;
  readonly tolerance: number;
}

/**
 * The law of propagation with the slopes at the expected errors: for each joint the result for the worse end, for the cell the worst of all.
 * If all mean errors are zero, every joint just touches, which is a kink; the slopes of the open side are then used.
 */
export function linearAnswers(
  sources: ForecastSources,
  gapLimit: number,
  options: Omit<SeaterOptions, "inputs">,
): { cell: LinearAnswer; joints: LinearAnswer[] } {
  const { cell, inputs } = sources;
  const { gap, byDraw } = linearSlopes(sources, options);
  const ends = cell.probes.map((_, probe) => {
    const own = rowOf(byDraw, probe, inputs.draws);
    return answerFrom(at(gap, probe), uncertaintyOf(own, sources.draws), gapLimit);
  });
  const joints = probesByJoint(cell).map((probes) => probes.map((probe) => at(ends, probe)).reduce(worse));
  return { cell: joints.reduce(worse), joints };
}

/** Standard uncertainty of a gap, mm, from its slopes with respect to the draws, some of which may be correlated (JCGM 100:2008, 5.2). */
function uncertaintyOf(slopes: Float64Array, { correlation, shared }: ForecastSources["draws"]): number {
  if (correlation === null) return Math.hypot(...slopes);
  const variance = quadraticForm(correlation, slopes.subarray(0, shared));
  return Math.hypot(Math.sqrt(Math.max(0, variance)), ...slopes.subarray(shared));
}

const COVERED = normalQuantile((1 + COVERAGE_PROBABILITY) / 2);

function answerFrom(estimate: number, u: number, gapLimit: number): LinearAnswer {
  return {
    estimate,
    standardUncertainty: u,
    interval: [Math.max(0, estimate - COVERED * u), Math.max(0, estimate + COVERED * u)],
    beyondGap: u > 0 ? normalCdf((estimate - gapLimit) / u) : estimate > gapLimit ? 1 : 0,
  };
}

const worse = (a: LinearAnswer, b: LinearAnswer): LinearAnswer => (b.interval[1] > a.interval[1] ? b : a);

/** Least tolerance for the difference between interval ends, mm. */
const NOTHING = 1e-6;

/**
 * Whether the law of propagation is valid: both ends of its interval must be within the numerical tolerance of the simulated ones.
 *
 * @param u standard deviation of the simulated openings, mm.
 * @param doubt uncertainty of the simulated ends, mm.
 */
export function judgeLinear(
  { interval }: LinearAnswer,
  simulated: Interval,
  u: number,
  doubt: number,
): LinearVerdict {
  const tolerance = u > NOTHING ? numericalTolerance(u, DEFAULT_CHECK_DIGITS) : NOTHING;
  const differences = [Math.abs(interval[0] - simulated[0]), Math.abs(interval[1] - simulated[1])] as const;
  const off = Math.max(...differences) - tolerance;
  return {
    status: Math.abs(off) <= doubt ? "undecided" : off <= 0 ? "trusted" : "not trusted",
    differences,
    tolerance,
  };
}

/** Gaps at the expected errors, mm, and the change of each for one standard deviation of each draw, row-major (probe, draw), mm. */
interface LinearSlopes {
  readonly gap: Float64Array;
  readonly byDraw: Float64Array;
}

/** Step of the central differences, in standard deviations of a draw: a fraction of a micrometre, far above the rounding error of a fit. */
const STEP = 1e-3;

/** Slopes of the gaps: for cells as cut by implicit differentiation, for fitted ones by central differences, fitting the cell anew at each point. */
export function linearSlopes(sources: ForecastSources, options: Omit<SeaterOptions, "inputs">): LinearSlopes {
  return options.fitting ? byDifferences(sources, options) : byDerivatives(sources, options);
}

function byDerivatives({ reader: { model }, inputs }: ForecastSources, options: SeaterOptions): LinearSlopes {
  const { mean, matrix, draws } = inputs;
  const { rest, slopes } = solveWithSlopes(model, mean, options);
  const byDraw = new Float64Array(model.readProbes * draws);
  const byErrors = rowsOf(matrix, draws);
  for (const [probe, sum] of rowsOf(byDraw, draws).entries()) {
    for (const [e, row] of byErrors.entries()) addScaled(sum, row, entryOf(slopes, probe, e, mean.length));
  }
  return { gap: rest.gap, byDraw };
}

function byDifferences({ reader: { model }, inputs }: ForecastSources, options: SeaterOptions): LinearSlopes {
  const { draws } = inputs;
  const kernel = createSeater(model, { ...options, inputs });
  const gapsAt = (draw: number, step: number): Float64Array => {
    const drawn = kernel.drawsOf(0);
    drawn.fill(0);
    if (draw >= 0) drawn[draw] = step;
    kernel.seat(1);
    return Float64Array.from({ length: model.readProbes }, (_, probe) => kernel.gap(0, probe));
  };
  const byDraw = new Float64Array(model.readProbes * draws);
  for (let k = 0; k < draws; k++) {
    const [more, less] = [gapsAt(k, STEP), gapsAt(k, -STEP)];
    for (const [probe, change] of minus(more, less).entries())
      byDraw[probe * draws + k] = change / (2 * STEP);
  }
  return { gap: gapsAt(-1, 0), byDraw };
}
