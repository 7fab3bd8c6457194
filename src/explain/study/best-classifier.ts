import type { Job } from "../../job/job.js";
import { normalCdf } from "../../numeric/normal-cdf.js";
import { createStream } from "../../numeric/random-stream.js";
import type { Cause } from "../cause.js";
import type { CellRead } from "../cells-read.js";
import { hypothesisOf } from "../hypothesis.js";
import { widestOf } from "../log-likelihood.js";
import { cellSeater } from "../seat-cells.js";

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
  const seater = cellSeater(plan.specimen.cell, job);
  const stream = createStream(seed);
  const readings = plan.probes.length;
  const bank = new Float32Array(cells * readings);
  const unknowns = new Float64Array(hypothesis.unknowns);
  const errors = Array.from({ length: BATCH }, () => new Float64Array(plan.specimen.scatter.length));
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

function weigh(bank: Float32Array, { readings, noise, shift }: CellRead): { sum: number; squares: number } {
  const order = [...readings.keys()].sort((a, b) => lowOf(readings[b]!.low) - lowOf(readings[a]!.low));
  const width = readings.length;
  let [sum, squares] = [0, 0];
  for (let row = 0; row < bank.length; row += width) {
    let weight = 1;
    for (let k = 0; k < width && weight > 0; k++) {
      const i = order[k]!;
      weight *= chance(bank[row + i]! + shift[i]!, readings[i]!.low!, readings[i]!.high!, noise[i]!);
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
