import type { Source } from "../cutting/sources.js";
import type { Job } from "../job/job.js";
import { type Minimum, minimiseTerms, type Terms } from "../numeric/minimise-terms.js";
import type { Reading } from "../readings/reading.js";
import { readingLoss } from "../readings/reading-loss.js";
import { type Expectation, expectReadings, type SpecimenReadings } from "./expect-readings.js";

/** A likelihood to maximise: readings, what they depend on, and whether the job's prior tolerances speak too. */
export interface Likelihood {
  readonly job: Job;
  readonly sources: readonly Source[];
  readonly readings: readonly Reading[];
  readonly groups: readonly SpecimenReadings[];
  readonly priors: boolean;
}

/** The most likely sources. */
export interface LikelihoodFit {
  /** rad or mm. */
  readonly estimates: Float64Array;
  readonly expectation: Expectation;
  readonly minimum: Minimum;
  /** −Σ log likelihood of the readings alone. */
  readonly loss: number;
}

/** The noise of the readings follows the estimates; it is recomputed until they move by less than this share of a prior standard deviation. */
const SETTLED = 1e-3;
const MOST_ROUNDS = 8;

/** Maximum likelihood (with priors: the most probable values); the unknowns are solved for in units of each source's prior standard deviation. */
export function maximiseLikelihood(problem: Likelihood, start: Float64Array): LikelihoodFit {
  const { sources } = problem;
  const unit = sources.map(({ trustedTo }) => trustedTo);
  let z = start.map((value, i) => value / unit[i]!);
  const toSources = (x: Float64Array): Float64Array => x.map((value, i) => value * unit[i]!);
  let minimum: Minimum | null = null;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const { tau } = expectReadings(problem.job, problem.groups, toSources(z));
    minimum = minimiseTerms((x) => likelihoodTerms(problem, x, tau), z);
    const moved = minimum.x.reduce((most, value, i) => Math.max(most, Math.abs(value - z[i]!)), 0);
    z = Float64Array.from(minimum.x);
    if (moved < SETTLED) break;
  }
  const estimates = toSources(z);
  const expectation = expectReadings(problem.job, problem.groups, estimates);
  const loss = problem.readings.reduce(
    (sum, reading, i) => sum + readingLoss(reading, expectation.mu[i]!, expectation.tau[i]!).value,
    0,
  );
  return { estimates, expectation, minimum: minimum!, loss };
}

/** Terms of −log likelihood at x (sources in units of their prior standard deviation) with the noise held at `tau`. */
export function likelihoodTerms(problem: Likelihood, x: Float64Array, tau: Float64Array): Terms {
  const { job, sources, readings, groups, priors } = problem;
  const p = sources.length;
  const rows = readings.length + (priors ? p : 0);
  const slope = new Float64Array(rows);
  const curvature = new Float64Array(rows);
  const jacobian = new Float64Array(rows * p);
  const expectation = safely(() =>
    expectReadings(
      job,
      groups,
      x.map((value, i) => value * sources[i]!.trustedTo),
    ),
  );
  if (!expectation) return { value: Number.POSITIVE_INFINITY, slope, curvature, jacobian };
  let value = 0;
  for (const [i, reading] of readings.entries()) {
    const loss = readingLoss(reading, expectation.mu[i]!, tau[i]!);
    value += loss.value;
    slope[i] = loss.slope;
    curvature[i] = loss.curvature;
    for (let c = 0; c < p; c++)
      jacobian[i * p + c] = expectation.jacobian[i * p + c]! * sources[c]!.trustedTo;
  }
  for (let c = 0; priors && c < p; c++) {
    const row = readings.length + c;
    value += x[c]! ** 2 / 2;
    slope[row] = x[c]!;
    curvature[row] = 1;
    jacobian[row * p + c] = 1;
  }
  return { value, slope, curvature, jacobian };
}

/** A step so wild that the pieces find no rest counts as infinitely unlikely; other faults pass through. */
function safely<T>(compute: () => T): T | null {
  try {
    return compute();
  } catch (error) {
    if (error instanceof Error && error.name === "SeatingError") return null;
    throw error;
  }
}
