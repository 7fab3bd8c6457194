import { addScaled, at, entryOf, innerProduct, rowsOf } from "../../core/numeric/dense.js";
import { choleskyInPlace, choleskySolveInPlace, symmetricEigen } from "../../core/numeric/linear-algebra.js";
import type { JobPosterior } from "../../inference/job-posterior.js";
import { momentsOf } from "../../inference/posterior/trial-distribution.js";
import { type SourceId, sourceKey } from "../../model/source-id.js";
import type { Source } from "../../model/sources.js";
import { type Chance, PRINTABLE } from "./source-causes.js";

/** A source in a story, and by how much it is off if the story is true, rad or mm. */
export interface StoryCause {
  readonly id: SourceId;
  readonly angular: boolean;
  readonly size: number;
  readonly standardUncertainty: number;
}

/** A story (hypothesis) about the gaps of cells: these sources are off, each with a given sign, and all others are nearly right. */
export interface Story {
  /** The sources that are off; empty if nothing is off and the cuts only scatter. */
  readonly causes: readonly StoryCause[];
  readonly chance: Chance;
}

/** The prior of the stories: ours, no source. */
export const STORY_PRIOR = {
  /** Prior probability that a source is off. */
  off: 0.1,
  /** A source that is off has the job's prior standard deviation; any other has this share of it. */
  nearlyRight: 0.2,
} as const;

/** Maximum number of sources that are off in a story if there are more than `FEW` sources. */
const MOST_OFF = 3;
const FEW = 8;
/** Number of stories whose probabilities must be precise enough to print. */
const WANTED = 3;

/** Minimum and maximum number of posteriors with different seeds. */
export const POSTERIORS = { least: 4, most: 8 } as const;

/**
 * The stories that are compatible with the posteriors, the most probable first; their probabilities add up to 1.
 *
 * Each source is off with prior probability {@link STORY_PRIOR}.off, so that few causes are preferred to many; if it is off, it has the prior standard deviation that the job states, otherwise a fifth of
 * that (the prior of E. I. George and R. E. McCulloch, Variable selection via Gibbs sampling, J. Am. Stat. Assoc. 88, 1993). The likelihood of the sources is obtained from the one
 * posterior as its density divided by that of the job's prior, with the posterior as a mixture of normals, one for each combination of signs of the sources that are known in size but not in sign. With that,
 * the evidence of every story is an integral of normals in closed form.
 *
 * @param posteriors posteriors of the same job and readings with different seeds: the stories' probabilities are means over them, and their sampling error is estimated from their differences.
 */
export function storiesIn(posteriors: readonly JobPosterior[], acting: readonly number[]): Story[] {
  const found = new Map<string, Tally>();
  for (const [run, posterior] of posteriors.entries()) {
    const stories = weigh(posterior, acting);
    const total = stories.reduce((sum, { weight }) => sum + weight, 0);
    for (const { causes, weight } of stories) {
      const key = causes.map(({ id, size }) => `${sourceKey(id)}${size > 0 ? "+" : "-"}`).join();
      const tally = found.get(key) ?? { causes, most: 0, shares: posteriors.map(() => 0) };
      found.set(key, tally);
      tally.shares[run] = at(tally.shares, run) + weight / total;
      if (weight / total > tally.most) Object.assign(tally, { causes, most: weight / total });
    }
  }
  return [...found.values()]
    .map(({ causes, shares }): Story => ({ causes, chance: meanOf(shares) }))
    .sort((a, b) => b.chance.value - a.chance.value);
}

interface Tally {
  causes: readonly StoryCause[];
  most: number;
  readonly shares: number[];
}

/** Mean of independent estimates, and half the width of its 95 % interval, from their scatter; unknown for a single estimate. */
function meanOf(shares: readonly number[]): Chance {
  const n = shares.length;
  const value = shares.reduce((a, b) => a + b, 0) / n;
  const squares = shares.reduce((sum, share) => sum + (share - value) ** 2, 0);
  return { value, samplingError: n < 2 ? 1 : 2 * Math.sqrt(squares / (n - 1) / n) };
}

/** Whether the probabilities of the most probable stories are precise enough to print. */
export const wellKnown = (stories: readonly Story[]): boolean =>
  stories.slice(0, WANTED).every(({ chance }) => chance.samplingError <= PRINTABLE);

interface WeighedStory {
  readonly causes: readonly StoryCause[];
  readonly weight: number;
}

function weigh({ sources, sample, fit }: JobPosterior, acting: readonly number[]): WeighedStory[] {
  const n = acting.length;
  const own = rowsOf(sample, sources.length).map((row) =>
    Float64Array.from(acting, (s) => (at(row, s) - (at(sources, s).priorMean ?? 0)) / at(sources, s).priorSd),
  );
  const sided = acting.flatMap((s, k) => (fit?.sources[s]?.sides ? [k] : []));
  const evidences = [...bySigns(own, sided)].map((rows) => ({
    ...likelihoodIn(Float64Array.from(rows.flatMap((row) => [...row])), n),
    share: rows.length / own.length,
  }));
  const top = Math.max(...evidences.map(({ logFactor }) => logFactor));
  return subsets(n, n > FEW ? MOST_OFF : n).flatMap((off) => {
    const prior = STORY_PRIOR.off ** off.length * (1 - STORY_PRIOR.off) ** (n - off.length);
    const spreads = Float64Array.from({ length: n }, (_, k) =>
      off.includes(k) ? 1 : STORY_PRIOR.nearlyRight,
    );
    return evidences.map(({ share, logFactor, ...likelihood }): WeighedStory => {
      const { logEvidence, mean, sd } = integrated(likelihood, spreads);
      return {
        weight: prior * share * Math.exp(logFactor - top + logEvidence),
        causes: off.map((k) => causeOf(at(sources, at(acting, k)), at(mean, k), at(sd, k))),
      };
    });
  });
}

function causeOf({ id, angular, priorSd, priorMean = 0 }: Source, z: number, sd: number): StoryCause {
  return { id, angular, size: priorMean + priorSd * z, standardUncertainty: priorSd * sd };
}

/** Groups draws by the signs of the sources that are known in size but not in sign; groups too small for a covariance are left out. */
function bySigns(rows: readonly Float64Array[], sided: readonly number[]): Float64Array[][] {
  const sets = new Map<string, Float64Array[]>();
  for (const row of rows) {
    const key = sided.map((k) => Math.sign(at(row, k))).join();
    const own = sets.get(key);
    if (own) own.push(row);
    else sets.set(key, [row]);
  }
  const [first] = rows;
  const enough = [...sets.values()].filter((own) => own.length > 4 * (first?.length ?? 0));
  return enough.length > 0 ? enough : [[...rows]];
}

/** exp(logFactor + ηᵀz − ½zᵀΛz): the likelihood of the sources z, in their prior standard deviations. */
interface NormalLikelihood {
  /** Λ, row-major, and η. */
  readonly precision: Float64Array;
  readonly pull: Float64Array;
}

/** Directions in which the posterior is nearly as wide as the prior are treated as uninformative. */
const NEARLY_PRIOR = 0.9;

/** The ratio of the density of a normal posterior with the moments of a sample to that of the prior, N(0, I). */
function likelihoodIn(sample: Float64Array, n: number): NormalLikelihood & { readonly logFactor: number } {
  const { mean, covariance } = momentsOf(sample, n);
  const { values, vectors } = symmetricEigen(covariance, n);
  const precision = new Float64Array(n * n);
  const pull = new Float64Array(n);
  let logFactor = 0;
  for (const [k, value] of values.entries()) {
    if (value >= NEARLY_PRIOR) continue;
    const vector = at(vectors, k);
    const along = innerProduct(vector, mean);
    addScaled(pull, vector, along / value);
    for (let i = 0; i < n; i++)
      addScaled(precision.subarray(i * n, (i + 1) * n), vector, at(vector, i) * (1 / value - 1));
    logFactor -= Math.log(value) / 2 + along ** 2 / value / 2;
  }
  return { precision, pull, logFactor };
}

/** The likelihood integrated over sources with normal priors of these standard deviations, and their posterior moments. */
function integrated(
  { precision, pull }: NormalLikelihood,
  spreads: Float64Array,
): { logEvidence: number; mean: Float64Array; sd: Float64Array } {
  const n = spreads.length;
  const factor = precision.slice();
  for (const [k, spread] of spreads.entries()) factor[k * n + k] = at(factor, k * n + k) + 1 / spread ** 2;
  choleskyInPlace(factor, n, 0);
  const mean = pull.slice();
  choleskySolveInPlace(factor, n, mean);
  let logEvidence = innerProduct(mean, pull) / 2;
  const sd = spreads.map((spread, k) => {
    logEvidence -= Math.log(spread) + Math.log(entryOf(factor, k, k, n));
    const unit = new Float64Array(n);
    unit[k] = 1;
    choleskySolveInPlace(factor, n, unit);
    return Math.sqrt(at(unit, k));
  });
  return { logEvidence, mean, sd };
}

/** All subsets of at most `most` of the numbers 0 … n − 1. */
function subsets(n: number, most: number): number[][] {
  const from = (first: number, left: number): number[][] =>
    left === 0
      ? [[]]
      : [
          [],
          ...Array.from({ length: n - first }, (_, i) => first + i).flatMap((k) =>
            from(k + 1, left - 1).map((more) => [k, ...more]),
          ),
        ];
  return from(0, most);
}
