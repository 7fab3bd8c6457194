import { UserError } from "../../../src/core/errors.js";
import { normalCdf } from "../../../src/core/numeric/normal.js";
import { createStream, type RandomStream } from "../../../src/core/numeric/random-stream.js";
import {
  type Cause,
  type CellRead,
  cellsRead,
  hypothesisOf,
  singleCauses,
} from "../../../src/features/explain/causes.js";
import { type Explanation, explainCells, NOTHING_ODDS } from "../../../src/features/explain/explain-cells.js";
import { cellSeater, widestOf } from "../../../src/features/explain/seat-cells.js";
import { cellPlan } from "../../../src/features/explain/seen-by-eye.js";
import { asRead } from "../../../src/inference/estimates/simulate-trials.js";
import { JobCells } from "../../../src/inference/likelihood/read-specimen.js";
import { cellSpecimen } from "../../../src/inference/likelihood/specimen.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Place } from "../../../src/model/readings.js";

/** One simulated cell: what was wrong, and what was made of its gaps. */
export interface StudyCell {
  /** Index of the true hypothesis. */
  readonly truth: number;
  /** True size, rad or mm, of a cause that stood alone; NaN where there was none, or several. */
  readonly size: number;
  readonly outcome: Explanation["outcome"];
  /** By hypothesis. */
  readonly explained: readonly number[];
  readonly best: readonly number[];
  readonly bestEffective: number;
  /** Nothing the best classifier simulated could have given these readings. */
  readonly unlike: boolean;
  readonly largestRise: number;
}

export interface Study {
  /** As an explanation lays them out: nothing but scatter first, then each cause by itself, last of all several at once. */
  readonly hypotheses: readonly (readonly Cause[])[];
  readonly cells: readonly StudyCell[];
}

export interface StudyOptions {
  /** Cells with one cause; those with nothing but scatter and those with several causes come on top in their share of the odds. */
  readonly count: number;
  readonly seed: number;
  /** Name of the instrument that reads every joint. */
  readonly instrument: string;
  readonly places?: readonly Place[];
  /** Cells simulated for each hypothesis of the best classifier; 0 leaves it out. */
  readonly bank: number;
  /** Odds of several causes at once; by default what an explanation takes, 0 leaves them out. */
  readonly severalOdds?: number;
  readonly onProgress?: (cells: number) => void;
}

/** Coarser than an explanation's own, for time. */
const PRECISION = 0.015;

/** Simulated cells, each with nothing, one cause or several, drawn from the odds that an explanation starts from, sizes from the job's tolerances; explained and put before the best possible classifier. */
export function runStudy(job: Job, options: StudyOptions): Study {
  const { count, seed, places = ["widest"], bank, onProgress = () => {} } = options;
  const jobCells = new JobCells();
  const specimen = cellSpecimen(job, jobCells);
  const instrument = job.instruments.find(({ name }) => name === options.instrument);
  if (!instrument)
    throw new UserError("explanation", `There is no instrument “${options.instrument}” in this job.`);
  const plan = cellPlan(specimen.cell, instrument, places);
  const [toRead] = cellsRead(job, jobCells, plan);
  const single = singleCauses(job, specimen);
  const { severalOdds = single.length } = options;
  const several = severalOdds > 0 ? [{ causes: single, odds: severalOdds }] : [];
  const laidOut = [
    { causes: [], odds: NOTHING_ODDS },
    ...single.map((cause) => ({ causes: [cause], odds: 1 })),
    ...several,
  ];
  const hypotheses = laidOut.map(({ causes }) => causes);
  const odds = laidOut.map((hypothesis) => hypothesis.odds);
  const best = bestClassifier(job, hypotheses, odds, { plan: toRead!, cells: bank, seed: seed + 1000 });
  const stream = createStream(seed);
  const seater = cellSeater(specimen.reader, job);
  const known = new Map<string, Omit<StudyCell, "truth" | "size">>();
  const cells: StudyCell[] = [];
  for (let alone = 0; alone < count; ) {
    const truth = lot(stream, odds);
    const one = hypotheses[truth]!.length === 1;
    if (one) alone++;
    const hypothesis = hypothesisOf(job, hypotheses[truth]!, [toRead!]);
    const unknowns = stream.fill(new Float64Array(hypothesis.unknowns));
    const errors = new Float64Array(specimen.betweenCutSd.length);
    hypothesis.errorsOf(0, unknowns, errors);
    const gaps = seater.seat([errors]);
    const readings = plan.map((reading, i) => {
      const scatter = instrument.repeatability * stream.normal();
      const seen = widestOf(toRead!.probes[i]!, gaps) + instrument.bias + scatter;
      return { ...reading, ...asRead(instrument, seen) };
    });
    // Cells that read alike are explained alike: most say “nothing goes in” throughout.
    const key = readings.map(({ value, low, high }) => `${value} ${low} ${high}`).join();
    const answer =
      known.get(key) ??
      answered({ job, jobCells }, { ...toRead!, readings }, severalOdds, bank > 0 ? best : null);
    known.set(key, answer);
    cells.push({ truth, size: one ? hypothesis.sizesOf(unknowns)[0]! : Number.NaN, ...answer });
    onProgress(cells.length);
  }
  return { hypotheses, cells };
}

const NO_ANSWER: BestAnswer = { probabilities: [], effective: 0, unlike: false };

function answered(
  { job, jobCells }: { readonly job: Job; readonly jobCells: JobCells },
  read: CellRead,
  severalOdds: number,
  best: ReturnType<typeof bestClassifier> | null,
): Omit<StudyCell, "truth" | "size"> {
  const { outcome, hypotheses, largestRise } = explainCells(job, read.readings, {
    jobCells,
    precision: PRECISION,
    severalOdds,
  });
  const byHypothesis = [...hypotheses].sort((a, b) => a.index - b.index);
  const { probabilities, effective, unlike } = best?.(read) ?? NO_ANSWER;
  return {
    ...{ outcome, largestRise, best: probabilities, bestEffective: effective, unlike },
    explained: byHypothesis.map(({ probability }) => probability),
  };
}

function lot(stream: RandomStream, odds: readonly number[]): number {
  let left = stream.uniform() * odds.reduce((a, b) => a + b, 0);
  for (const [k, share] of odds.entries()) {
    left -= share;
    if (left < 0) return k;
  }
  return odds.length - 1;
}

/** What the best possible classifier says of one cell. */
export interface BestAnswer {
  readonly probabilities: readonly number[];
  /** None of its simulated cells could have given the readings; it then takes the hypothesis with most causes, the one that simulated cells fill least. */
  readonly unlike: boolean;
  /** Simulated cells that count for the hypothesis it finds likeliest: (Σ w)² / Σ w². */
  readonly effective: number;
}

/** A noise's reach: further away a reading is out of the question, within the interval by as much it is certain. */
const REACH = 7;
const BATCH = 1024;
/** So many times the cells where several causes vary at once: few of them come near any given readings. */
const FOR_SEVERAL = 4;

/**
 * Bayes with the true model by brute force: under every hypothesis `cells` cells (four times as many where several causes vary) are simulated from the prior, and each is weighed by how likely it would have given the readings.
 * No mode is sought and no density divided by; it shares with the explanation only the model itself.
 */
export function bestClassifier(
  job: Job,
  hypotheses: readonly (readonly Cause[])[],
  odds: readonly number[],
  options: { readonly plan: CellRead; readonly cells: number; readonly seed: number },
): (read: CellRead) => BestAnswer {
  const { plan, cells, seed } = options;
  const sizes = hypotheses.map((causes) => (causes.length > 1 ? FOR_SEVERAL : 1) * cells);
  const banks = hypotheses.map((causes, k) => bankOf(job, causes, plan, sizes[k]!, seed + k));
  const most = Math.max(...hypotheses.map((causes) => causes.length));
  const widest = hypotheses.findIndex((causes) => causes.length === most);
  return (read) => {
    const sums = banks.map((bank) => weigh(bank, read));
    const weights = sums.map(({ sum }, k) => (odds[k]! * sum) / (sizes[k] || 1));
    const total = weights.reduce((a, b) => a + b, 0);
    const first = weights.indexOf(Math.max(...weights));
    const { sum, squares } = sums[first]!;
    return {
      probabilities: weights.map((weight, k) => (total > 0 ? weight / total : k === widest ? 1 : 0)),
      unlike: total === 0,
      effective: squares > 0 ? sum ** 2 / squares : 0,
    };
  };
}

/** What each reading of the plan would be of in each simulated cell, row-major (cell, reading), mm. */
function bankOf(
  job: Job,
  causes: readonly Cause[],
  plan: CellRead,
  cells: number,
  seed: number,
): Float32Array {
  const hypothesis = hypothesisOf(job, causes, [plan]);
  const seater = cellSeater(plan.specimen.reader, job);
  const stream = createStream(seed);
  const readings = plan.probes.length;
  const bank = new Float32Array(cells * readings);
  const unknowns = new Float64Array(hypothesis.unknowns);
  const errors = Array.from({ length: BATCH }, () => new Float64Array(plan.specimen.betweenCutSd.length));
  for (let from = 0; from < cells; from += BATCH) {
    const batch = errors.slice(0, cells - from);
    for (const out of batch) hypothesis.errorsOf(0, stream.fill(unknowns), out);
    const gaps = seater.seat(batch);
    for (let i = 0; i < batch.length; i++) {
      for (let r = 0; r < readings; r++) {
        bank[(from + i) * readings + r] = widestOf(plan.probes[r]!, gaps, i * seater.probes);
      }
    }
  }
  return bank;
}

function weigh(bank: Float32Array, { readings, noise, bias }: CellRead): { sum: number; squares: number } {
  const order = [...readings.keys()].sort((a, b) => lowOf(readings[b]!.low) - lowOf(readings[a]!.low));
  const width = readings.length;
  let [sum, squares] = [0, 0];
  for (let row = 0; row < bank.length; row += width) {
    let weight = 1;
    for (let k = 0; k < width && weight > 0; k++) {
      const i = order[k]!;
      weight *= chance(bank[row + i]! + bias[i]!, readings[i]!.low!, readings[i]!.high!, noise[i]!);
    }
    sum += weight;
    squares += weight * weight;
  }
  return { sum, squares };
}

const lowOf = (low: number | null): number => Math.max(-1, low ?? 0);

/** Probability that a gap is read as lying between `low` and `high`; 0 where there is no gap, for the pieces found no rest. */
function chance(gap: number, low: number, high: number, noise: number): number {
  const reach = REACH * noise;
  if (gap > low + reach && gap < high - reach) return 1;
  if (!(gap > low - reach && gap < high + reach)) return 0;
  return tabled((high - gap) / noise) - tabled((low - gap) / noise);
}

const PER_UNIT = 1000;
const TABLE = Float64Array.from({ length: 2 * REACH * PER_UNIT + 2 }, (_, i) =>
  normalCdf(i / PER_UNIT - REACH),
);

/** Φ from a table, straight between its entries: off by less than 4e-8. */
function tabled(z: number): number {
  if (z <= -REACH) return 0;
  if (z >= REACH) return 1;
  const place = (z + REACH) * PER_UNIT;
  const i = Math.floor(place);
  return TABLE[i]! + (place - i) * (TABLE[i + 1]! - TABLE[i]!);
}
