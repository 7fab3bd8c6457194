import { at } from "../../core/numeric/dense.js";
import { JobCells } from "../../inference/likelihood/read-specimen.js";
import { cellSpecimen, type Specimen } from "../../inference/likelihood/specimen.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import {
  type Cause,
  type CauseOptions,
  type CellRead,
  cellsRead,
  hypothesisOf,
  nothingGoesIn,
  singleCauses,
} from "./causes.js";
import { cellSeater } from "./seat-cells.js";
import { logSum, type SizeFound, sizeFound, type Weighed, Weighing } from "./weigh-hypothesis.js";

/** One hypothesis after the readings. */
export interface JudgedHypothesis {
  /** Place among the hypotheses as they were laid out: 0 is nothing but scatter. */
  readonly index: number;
  /** None: nothing but the scatter from cut to cut. One; or all of them at once. */
  readonly causes: readonly Cause[];
  /** Probability before and after the readings, 0 to 1; those of all hypotheses add to 1. */
  readonly prior: number;
  readonly probability: number;
  /** Standard error of the probability from the number of draws. */
  readonly standardError: number;
  /** How large each cause would be. */
  readonly sizes: readonly SizeFound[];
  /** @internal */
  readonly weighed: Weighed;
}

/** `identified`: the readings favour a cause. `closed`: nothing goes in anywhere. `undecided`: no cause has become more likely by the factor {@link TELLING}. */
export type Outcome = "identified" | "closed" | "undecided";

/** What the gaps of assembled cells say of single causes. */
export interface Explanation {
  readonly job: Job;
  readonly jobCells: JobCells;
  readonly specimen: Specimen;
  readonly cells: readonly CellRead[];
  /** Most probable first; where none is identified, in the order of the causes. */
  readonly hypotheses: readonly JudgedHypothesis[];
  readonly outcome: Outcome;
  /** Largest factor by which the readings raised the odds of any hypothesis against all others. */
  readonly largestRise: number;
}

/** Odds, seed and precision of an explanation; what may be a cause, in {@link CauseOptions}. */
export interface ExplainOptions extends CauseOptions {
  /** Odds of “nothing but scatter” before anything was seen, against any one cause; default {@link NOTHING_ODDS}. Causes are equally likely among themselves. */
  readonly nothingOdds?: number;
  /** Odds of “several at once”, every source within its tolerance, against any one cause; by default it is as likely as all single causes together; 0 leaves it out. */
  readonly severalOdds?: number;
  /** Seed of every draw; default 1. */
  readonly seed?: number;
  /** The job's compiled cells, where its readings are explained many times; by default new ones. */
  readonly jobCells?: JobCells;
  /** Draws end when no hypothesis adds more than this to the standard error of the probabilities; default {@link PRECISION}. */
  readonly precision?: number;
}

export const NOTHING_ODDS = 1;
export const PRECISION = 0.005;
/** Readings that raise no hypothesis's odds by this factor tell nothing: the probabilities are those there were before, to within it. */
export const TELLING = 3;

/** Draws of the first round for every hypothesis, of every further round, and at most. */
const FIRST_ROUND = 96;
const ROUND = 192;
const MOST_DRAWS = 4096;
/** A likely hypothesis gets as many draws as its size needs, at least this many that count; an unlikely rival of the likeliest fewer. */
const LIKELY = 0.1;
const ENOUGH = 60;
const RIVAL = 20;
/** With fewer draws that count, the evidence may be this much (natural log) too low. */
const FEW = 8;
const TOO_LOW = 3;

/**
 * From the gaps seen in assembled cells to the likely single causes.
 *
 * For each cause the marginal likelihood of the readings is ∫∫ Π P(reading | gaps(size, scatter)) dN(size) dN(scatter), in the job's order, by importance sampling from normals laid
 * about the most probable unknowns, with the prior mixed in (A. Owen and Y. Zhou, J. Am. Stat. Assoc. 95, 2000, on such mixtures); the seed is fixed and the standard error reported.
 * Then Bayes with the stated prior odds.
 *
 * @throws UserError (code "explanation") when no gap of an assembled cell was read.
 * @example
 * const gaps = simulateTrials(job, cellPlan(jobCell(job), job.instruments[0]), { truth: new Float64Array(jobSources(job).length), seed: 2 });
 * explainCells(job, gaps).hypotheses.length > 1 // true
 */
export function explainCells(
  job: Job,
  readings: readonly Reading[],
  options: ExplainOptions = {},
): Explanation {
  const { seed = 1, precision = PRECISION, nothingOdds = NOTHING_ODDS } = options;
  const { jobCells = new JobCells() } = options;
  const specimen = cellSpecimen(job, jobCells);
  const cells = cellsRead(job, jobCells, readings);
  const single = singleCauses(job, specimen, options);
  const laidOut = [
    { causes: [], odds: nothingOdds },
    ...single.map((cause) => ({ causes: [cause], odds: 1 })),
    { causes: single, odds: options.severalOdds ?? single.length },
  ].filter((hypothesis) => hypothesis.odds > 0);
  const seater = cellSeater(specimen.reader, job);
  const weighings = laidOut.map(({ causes }, k) => {
    const hypothesis = hypothesisOf(job, causes, cells);
    return new Weighing({ job, cells, hypothesis }, seater, seed, k);
  });
  const odds = laidOut.map((hypothesis) => hypothesis.odds);
  const hypotheses = judgedOf(odds, weigh(weighings, odds, precision));
  const largestRise = Math.max(
    ...hypotheses.map(({ prior, probability }) => oddsOf(probability) / oddsOf(prior)),
  );
  const closed = cells.every((cell) => cell.readings.every(nothingGoesIn));
  const outcome = closed ? "closed" : largestRise < TELLING ? "undecided" : "identified";
  return {
    ...{ job, jobCells, specimen, cells, outcome, largestRise },
    hypotheses:
      outcome === "identified" ? hypotheses.sort((a, b) => b.probability - a.probability) : hypotheses,
  };
}

const oddsOf = (probability: number): number => probability / (1 - probability);

/** Adds draws to whatever the probabilities hang on most, until they are known well enough. */
function weigh(weighings: readonly Weighing[], odds: readonly number[], precision: number): Weighed[] {
  for (const weighing of weighings) weighing.add(FIRST_ROUND);
  for (;;) {
    const results = weighings.map((weighing) => weighing.result());
    const probabilities = probabilitiesOf(results, odds);
    const second = at(
      [...probabilities].sort((a, b) => b - a),
      1,
    );
    const unsure = weighings.filter((_, k) => {
      const { standardError, effectiveSampleSize, draws } = at(results, k);
      const p = at(probabilities, k);
      const matters =
        p * (1 - p) * standardError > precision ||
        (p >= LIKELY && effectiveSampleSize < ENOUGH) ||
        (p >= second && effectiveSampleSize < RIVAL) ||
        (effectiveSampleSize < FEW && p * Math.exp(TOO_LOW) > 3 * precision);
      return matters && draws.length < MOST_DRAWS;
    });
    if (unsure.length === 0) return results;
    for (const weighing of unsure) weighing.add(ROUND);
  }
}

function probabilitiesOf(weighed: readonly Weighed[], odds: readonly number[]): number[] {
  const logs = weighed.map(({ logEvidence }, k) => logEvidence + Math.log(at(odds, k)));
  const total = logSum(logs);
  return logs.map((log) => Math.exp(log - total));
}

function judgedOf(odds: readonly number[], weighed: readonly Weighed[]): JudgedHypothesis[] {
  const allOdds = odds.reduce((a, b) => a + b, 0);
  const probabilities = probabilitiesOf(weighed, odds);
  const errors = weighed.map(({ standardError }, k) => at(probabilities, k) * standardError);
  const squares = errors.reduce((sum, e) => sum + e * e, 0);
  return weighed.map((own, k) => {
    const probability = at(probabilities, k);
    // d p_k = p_k (d log e_k − Σ p_j d log e_j), the errors of the hypotheses being independent.
    const variance = at(errors, k) ** 2 * ((1 - probability) ** 2 - probability ** 2);
    const { causes } = own.hypothesis;
    return {
      ...{ index: k, causes, prior: at(odds, k) / allOdds, probability, weighed: own },
      standardError: Math.sqrt(Math.max(0, variance + probability ** 2 * squares)),
      sizes: causes.map((_, cause) => sizeFound(own.draws, cause)),
    };
  });
}
