import type { SourceFit } from "../calibrate/fit-sources.js";
import type { Unseparated } from "../calibrate/unseparated.js";
import type { Job } from "../job/job.js";
import type { Reading } from "../readings/reading.js";
import { inverseOf } from "./criterion.js";
import { drawScenarios } from "./scenarios.js";
import { type Station, stationsOf } from "./station.js";
import { trialInformation } from "./trial-information.js";

/** The one reading that would tell most of a combination that the readings so far leave open. */
export interface SeparatingReading {
  readonly combination: Unseparated;
  /** What to read, where and with what; without a value. */
  readonly reading: Reading;
  readonly station: Station;
  /** Standard deviation of the combination as a share of what it was before any data: now, and after that reading. */
  readonly now: number;
  readonly after: number;
}

/** Errors that the shop might have, over which a reading is judged. */
const WEIGHED = 8;
/** A reading that takes away less than this share of what is left would not separate anything. */
const WORTH = 0.1;

/** For each combination of sources that the readings do not tell apart, the one reading of another trial that would tell most of it; none where no instrument of the shop would. `seed` of the errors drawn: whole, ≥ 0. */
export function separatingReadings(job: Job, fit: SourceFit, seed = 1): SeparatingReading[] {
  if (fit.unseparated.length === 0) return [];
  const { sources } = fit;
  const { covariance } = fit.oneSide;
  const p = sources.length;
  const scaled = covariance.map(
    (value, k) => value / (sources[Math.floor(k / p)]!.trustedTo * sources[k % p]!.trustedTo),
  );
  const known = inverseOf(scaled, p);
  if (known === null) return [];
  const scenarios = drawScenarios(fit.oneSide, WEIGHED, seed);
  const told = stationsOf(job, job.trialCosts).map((station) => ({
    station,
    information: trialInformation(job, station.readings, scenarios, seed),
  }));
  return fit.unseparated.flatMap((combination): SeparatingReading[] => {
    const weights = Float64Array.from(
      sources,
      ({ name }) => combination.weights.find(({ source }) => source === name)?.weight ?? 0,
    );
    const size = Math.sqrt(quadratic(identity(p), weights));
    const now = Math.sqrt(quadratic(scaled, weights)) / size;
    let best: SeparatingReading | null = null;
    for (const { station, information } of told) {
      for (const [place, reading] of station.readings.entries()) {
        const variances = information.of([place]).map((own) => {
          const after = inverseOf(
            own.map((value, k) => value + known[k]!),
            p,
          );
          return after === null ? Number.POSITIVE_INFINITY : quadratic(after, weights);
        });
        const after = Math.sqrt(variances.reduce((a, b) => a + b, 0) / variances.length) / size;
        if (after < (best?.after ?? (1 - WORTH) * now)) best = { combination, reading, station, now, after };
      }
    }
    if (best === null) return [];
    // A spread over the first is luck of the draws.
    const share = Math.min(1, now) / now;
    return [{ ...best, now: share * now, after: share * best.after }];
  });
}

const identity = (p: number): Float64Array =>
  Float64Array.from({ length: p * p }, (_, k) => (k % (p + 1) === 0 ? 1 : 0));

function quadratic(matrix: Float64Array, v: Float64Array): number {
  const p = v.length;
  let sum = 0;
  for (let i = 0; i < p; i++) for (let j = 0; j < p; j++) sum += v[i]! * matrix[i * p + j]! * v[j]!;
  return sum;
}
