import type { SeaterOptions } from "../kernel/fitted/create-seater.js";
import { cellProbes, probesByJoint } from "../lattice/cell-probes.js";
import { normalCdf } from "../numeric/normal-cdf.js";
import { normalQuantile } from "../numeric/normal-quantile.js";
import type { Interval } from "../propagate/coverage-interval.js";
import { DEFAULT_CHECK_DIGITS } from "../propagate/first-order-check.js";
import { numericalTolerance } from "../propagate/numerical-tolerance.js";
import { linearSlopes } from "./linear-slopes.js";
import type { OutlookSources } from "./outlook-sources.js";
import { COVERAGE_PROBABILITY } from "./tally-blocks.js";

/** What the law of propagation (JCGM 100:2008, 5.1) says of an opening: a normal about the gap at the expected errors, nothing below zero. */
export interface LinearAnswer {
  /** Signed gap at the expected errors, and its standard uncertainty, mm. */
  readonly estimate: number;
  readonly standardUncertainty: number;
  /** 95 % interval with as much left out at either end, mm, ≥ 0. */
  readonly interval: Interval;
  /** Chance of a gap beyond the limit. */
  readonly beyondGap: number;
}

export interface LinearVerdict {
  readonly status: "trusted" | "not trusted" | "undecided";
  /** By how much the ends of the two intervals differ, mm, and how much they may (JCGM 101:2008, 8.1, one digit). */
  readonly differences: Interval;
  readonly tolerance: number;
}

/**
 * The law of propagation with the slopes at the expected errors: for each joint the end that it says is the worse, for the cell the worst of all.
 * Where nothing is expected to be wrong every joint just touches, at a kink: the slopes are those of its open side.
 */
export function linearAnswers(
  sources: OutlookSources,
  gapLimit: number,
  options: Omit<SeaterOptions, "inputs">,
): { cell: LinearAnswer; joints: LinearAnswer[] } {
  const { cell, inputs } = sources;
  const { gap, byDraw } = linearSlopes(sources, options);
  const ends = cellProbes(cell).map((_, probe) => {
    const own = byDraw.subarray(probe * inputs.draws, (probe + 1) * inputs.draws);
    return answerFrom(gap[probe]!, Math.hypot(...own), gapLimit);
  });
  const joints = probesByJoint(cell).map((probes) => probes.map((probe) => ends[probe]!).reduce(worse));
  return { cell: joints.reduce(worse), joints };
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

/** Smallest difference between interval ends that matters to anyone, mm. */
const NOTHING = 1e-6;

/**
 * Whether the law of propagation may be trusted: both ends of its interval within the numerical tolerance of the simulated ones.
 *
 * @param u standard deviation of the simulated openings, mm.
 * @param doubt how far the simulated ends may be off, mm.
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
