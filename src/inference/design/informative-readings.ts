import { at, innerProduct, plus, quadraticForm, rowOf } from "../../core/numeric/dense.js";
import { normalCdf } from "../../core/numeric/normal.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { type SourceId, sameSource } from "../../model/source-id.js";
import { orNothing } from "../../physics/predict/cell-model.js";
import type { SourceFit } from "../estimates/fit-sources.js";
import type { Unseparated } from "../estimates/identifiability.js";
import type { JobCells } from "../likelihood/read-specimen.js";
import { expectBlock, trialBlocks } from "../likelihood/trial-blocks.js";
import { inPriorUnits, inverseOf } from "./criterion.js";
import { type Station, stationsOf } from "./station.js";
import { drawScenarios, trialInformation } from "./trial-information.js";

/** The one reading that would remove most of the uncertainty of an unidentified combination of sources. */
export interface SeparatingReading {
  readonly combination: Unseparated;
  /** What to read, where and with what; without a value. */
  readonly reading: Reading;
  /** @internal */
  readonly station: Station;
  /** Standard deviation of the combination as a share of its prior standard deviation: now, and after that reading. */
  readonly now: number;
  readonly after: number;
}

/** Number of scenarios (draws of the sources) over which a reading is judged. */
const WEIGHED = 8;
/** Least share of the remaining standard deviation that a reading must remove. */
const LEAST_REDUCTION = 0.1;

/**
 * For each unidentified combination of sources, the one reading of a further trial that would reduce its uncertainty most; none if no instrument of the shop would reduce it enough.
 *
 * @param seed seed of the scenarios, an integer ≥ 0; default 1.
 * @example
 * separatingReadings(job, calibration.fit).every(({ now, after }) => after < now) // true
 */
export function separatingReadings(job: Job, fit: SourceFit, seed = 1): SeparatingReading[] {
  if (fit.unseparated.length === 0) return [];
  const { sources } = fit;
  const { covariance } = fit.oneSide;
  const p = sources.length;
  const scaled = inPriorUnits(covariance, sources);
  const known = inverseOf(scaled, p);
  if (known === null) return [];
  const scenarios = drawScenarios(fit.oneSide, WEIGHED, seed);
  const candidates = stationsOf(job, job.trialCosts).map((station) => ({
    station,
    information: trialInformation(job, station.readings, scenarios, seed, fit.target.cells),
  }));
  return fit.unseparated.flatMap((combination): SeparatingReading[] => {
    const weights = Float64Array.from(
      sources,
      ({ id }) => combination.weights.find(({ source }) => sameSource(source, id))?.weight ?? 0,
    );
    const size = Math.sqrt(innerProduct(weights, weights));
    const now = Math.sqrt(quadraticForm(scaled, weights)) / size;
    let best: SeparatingReading | null = null;
    for (const { station, information } of candidates) {
      for (const [place, reading] of station.readings.entries()) {
        const variances = information.of([place]).map((own) => {
          const after = inverseOf(plus(own, known), p);
          return after === null ? Number.POSITIVE_INFINITY : quadraticForm(after, weights);
        });
        const after = Math.sqrt(variances.reduce((a, b) => a + b, 0) / variances.length) / size;
        if (after < (best?.after ?? (1 - LEAST_REDUCTION) * now))
          best = { combination, reading, station, now, after };
      }
    }
    if (best === null) return [];
    // A share above 1 is sampling error.
    const share = Math.min(1, now) / now;
    return [{ ...best, now: share * now, after: share * best.after }];
  });
}

/** The one reading that would identify the sign of a source whose size is identified. */
export interface SignReading {
  readonly source: SourceId;
  /** What to read, where and with what; without a value. */
  readonly reading: Reading;
  readonly station: Station;
  /** What it is expected to show, mm or rad (a gap: negative = pressed, nothing goes in), if the source is above zero and if it is below. */
  readonly above: number;
  readonly below: number;
  /** Probability that it indicates the right sign if both signs are equally likely: 0.5 to 1. */
  readonly right: number;
}

/** Among the readings whose probability of indicating the right sign is at least this, the cheapest is chosen. */
const SURE = 0.99;
/** Least probability of indicating the right sign for a reading to be proposed. */
const WORTH_TAKING = 0.6;

/** For each source whose size is identified but whose sign is not, the one reading of a further trial that would identify the sign; none if no instrument of the shop would. */
export function signReadings(job: Job, fit: SourceFit): SignReading[] {
  if (!fit.sources.some(({ sides }) => sides)) return [];
  const stations = stationsOf(job, job.trialCosts);
  return fit.sources.flatMap((_, i) => signReading(job, fit, i, stations) ?? []);
}

/** The reading, among those of some stations, that best identifies the sign of one source; `null` if its sign is already identified or if none of the readings would identify it. */
export function signReading(
  job: Job,
  fit: SourceFit,
  index: number,
  stations: readonly Station[],
): SignReading | null {
  const { sources, oneSide, target } = fit;
  const { id, sides } = at(sources, index);
  if (!sides) return null;
  const above = oneSide.estimates.with(index, sides.above.estimate);
  const below = oneSide.estimates.with(index, sides.below.estimate);
  const candidates = stations.flatMap((station) =>
    signTold(job, target.cells, station, above, below).map((one) => ({ source: id, station, ...one })),
  );
  const best = candidates.reduce<SignReading | null>((a, b) => (a === null || isBetter(b, a) ? b : a), null);
  return best === null || best.right < WORTH_TAKING ? null : best;
}

const minutesOf = ({ station }: SignReading): number => station.minutes + station.minutesEach;

function isBetter(a: SignReading, b: SignReading): boolean {
  const [sureA, sureB] = [Math.min(a.right, SURE), Math.min(b.right, SURE)];
  return sureA === sureB ? minutesOf(a) < minutesOf(b) : sureA > sureB;
}

/** What every reading of a station would show under two sets of sources, and how well it discriminates between them. */
function signTold(
  job: Job,
  cells: JobCells,
  station: Station,
  one: Float64Array,
  other: Float64Array,
): Pick<SignReading, "reading" | "above" | "below" | "right">[] {
  const { readings, instrument } = station;
  const [block] = trialBlocks(job, readings, cells);
  if (!block) return [];
  const rest = new Float64Array(block.latents);
  const seen = [one, other].map((sources) => orNothing(() => expectBlock(job, block, sources, rest)));
  const [a, b] = seen;
  if (!a || !b) return [];
  return block.readings.map((reading, k) => {
    const sigma = Math.hypot(at(block.noise, k), ...rowOf(a.byLatent, k, block.latents));
    const [above, below] = [at(a.mu, k), at(b.mu, k)];
    const edges = reading.value === null ? instrument.leaves : null;
    return { reading, above, below, right: chanceRightMean(above, below, sigma, edges) };
  });
}

/**
 * Probability of telling correctly which of two equally likely means a reading had: ½·Σ max(p, q) over what it may show, x ~ N(mean, σ²).
 *
 * @param edges in ascending order, if the reading only shows between which two of them x fell; `null` if it shows x itself, in which case the probability is Φ(|a − b|/2σ)
 */
export function chanceRightMean(
  a: number,
  b: number,
  sigma: number,
  edges: readonly number[] | null,
): number {
  if (edges === null) return a === b ? 0.5 : normalCdf(Math.abs(a - b) / (2 * sigma));
  const cumulative = (mean: number): number[] => [
    0,
    ...edges.map((edge) => normalCdf((edge - mean) / sigma)),
    1,
  ];
  const [p, q] = [cumulative(a), cumulative(b)];
  const within = (values: readonly number[], k: number): number => at(values, k) - at(values, k - 1);
  let sum = 0;
  for (let k = 1; k < p.length; k++) sum += Math.max(within(p, k), within(q, k));
  return sum / 2;
}
