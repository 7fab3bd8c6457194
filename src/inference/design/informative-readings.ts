import { normalCdf } from "../../core/numeric/normal.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { SourceId } from "../../model/source-id.js";
import { sameSource } from "../../model/source-id.js";
import { orNothing } from "../../physics/predict/cell-model.js";
import type { SourceFit } from "../estimates/fit-sources.js";
import type { Unseparated } from "../estimates/identifiability.js";
import type { JobCells } from "../likelihood/read-specimen.js";
import { expectBlock, trialBlocks } from "../likelihood/trial-blocks.js";
import { inverseOf } from "./criterion.js";
import { type Station, stationsOf } from "./station.js";
import { drawScenarios, trialInformation } from "./trial-information.js";

/** The one reading that would tell most of a combination that the readings so far leave open. */
export interface SeparatingReading {
  readonly combination: Unseparated;
  /** What to read, where and with what; without a value. */
  readonly reading: Reading;
  /** @internal */
  readonly station: Station;
  /** Standard deviation of the combination as a share of what it was before any data: now, and after that reading. */
  readonly now: number;
  readonly after: number;
}

/** Errors that the shop might have, over which a reading is judged. */
const WEIGHED = 8;
/** A reading that takes away less than this share of what is left would not separate anything. */
const LEAST_REDUCTION = 0.1;

/** For each combination of sources that the readings do not tell apart, the one reading of another trial that would tell most of it; none where no instrument of the shop would. `seed` of the errors drawn: whole, ≥ 0. */
export function separatingReadings(job: Job, fit: SourceFit, seed = 1): SeparatingReading[] {
  if (fit.unseparated.length === 0) return [];
  const { sources } = fit;
  const { covariance } = fit.oneSide;
  const p = sources.length;
  const scaled = covariance.map(
    (value, k) => value / (sources[Math.floor(k / p)]!.priorSd * sources[k % p]!.priorSd),
  );
  const known = inverseOf(scaled, p);
  if (known === null) return [];
  const scenarios = drawScenarios(fit.oneSide, WEIGHED, seed);
  const candidates = stationsOf(job, job.trialCosts).map((station) => ({
    station,
    information: trialInformation(job, station.readings, scenarios, seed, fit.likelihood.cells),
  }));
  return fit.unseparated.flatMap((combination): SeparatingReading[] => {
    const weights = Float64Array.from(
      sources,
      ({ id }) => combination.weights.find(({ source }) => sameSource(source, id))?.weight ?? 0,
    );
    const size = Math.sqrt(quadratic(identity(p), weights));
    const now = Math.sqrt(quadratic(scaled, weights)) / size;
    let best: SeparatingReading | null = null;
    for (const { station, information } of candidates) {
      for (const [place, reading] of station.readings.entries()) {
        const variances = information.of([place]).map((own) => {
          const after = inverseOf(
            own.map((value, k) => value + known[k]!),
            p,
          );
          return after === null ? Number.POSITIVE_INFINITY : quadratic(after, weights);
        });
        const after = Math.sqrt(variances.reduce((a, b) => a + b, 0) / variances.length) / size;
        if (after < (best?.after ?? (1 - LEAST_REDUCTION) * now))
          best = { combination, reading, station, now, after };
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

/** The one reading that would tell the sign of a source of which only the size is told. */
export interface SignReading {
  readonly source: SourceId;
  /** What to read, where and with what; without a value. */
  readonly reading: Reading;
  readonly station: Station;
  /** What it is expected to show, mm or rad (a gap: negative = pressed, nothing goes in), were the source above zero and below. */
  readonly above: number;
  readonly below: number;
  /** Chance that it points the right way, were both signs as likely: 0.5 to 1. */
  readonly right: number;
}

/** As sure as this is sure enough: of such readings the one of least work is taken. */
const SURE = 0.99;
/** A reading that does less is not worth taking. */
const WORTH_TAKING = 0.6;

/** For each source of which the readings tell the size and not the sign, the one reading of another trial that would tell the sign; none where no instrument of the shop would. */
export function signReadings(job: Job, { sources, oneSide, likelihood }: SourceFit): SignReading[] {
  const open = sources.flatMap(({ id, sides }, i) => (sides ? [{ id, sides, i }] : []));
  if (open.length === 0) return [];
  const stations = stationsOf(job, job.trialCosts);
  return open.flatMap(({ id, sides, i }) => {
    const at = (value: number): Float64Array => oneSide.estimates.with(i, value);
    const candidates = stations.flatMap((station) =>
      signTold(job, likelihood.cells, station, at(sides.above.estimate), at(sides.below.estimate)).map(
        (one) => ({
          source: id,
          station,
          ...one,
        }),
      ),
    );
    const best = candidates.reduce<SignReading | null>(
      (a, b) => (a === null || isBetter(b, a) ? b : a),
      null,
    );
    return best === null || best.right < WORTH_TAKING ? [] : [best];
  });
}

const minutesOf = ({ station }: SignReading): number => station.minutes + station.minutesEach;

function isBetter(a: SignReading, b: SignReading): boolean {
  const [sureA, sureB] = [Math.min(a.right, SURE), Math.min(b.right, SURE)];
  return sureA === sureB ? minutesOf(a) < minutesOf(b) : sureA > sureB;
}

/** What every reading of a station would show under two sets of sources, and how well it tells them apart. */
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
    const ofPieces = a.byLatent.subarray(k * block.latents, (k + 1) * block.latents);
    const sigma = Math.hypot(block.noise[k]!, ...ofPieces);
    const [above, below] = [a.mu[k]!, b.mu[k]!];
    const edges = reading.value === null ? instrument.leaves : null;
    return { reading, above, below, right: chanceRight(above, below, sigma, edges) };
  });
}

/**
 * Chance of guessing rightly which of two means a reading had, both as likely: ½·Σ max(p, q) over what it may show, x ~ N(mean, σ²).
 *
 * @param edges rising, where it only tells between which two x fell; `null` where it tells x: then Φ(|a − b|/2σ)
 */
export function chanceRight(a: number, b: number, sigma: number, edges: readonly number[] | null): number {
  if (edges === null) return a === b ? 0.5 : normalCdf(Math.abs(a - b) / (2 * sigma));
  const cumulative = (mean: number): number[] => [
    0,
    ...edges.map((edge) => normalCdf((edge - mean) / sigma)),
    1,
  ];
  const [p, q] = [cumulative(a), cumulative(b)];
  let sum = 0;
  for (let k = 1; k < p.length; k++) sum += Math.max(p[k]! - p[k - 1]!, q[k]! - q[k - 1]!);
  return sum / 2;
}
