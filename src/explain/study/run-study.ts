import { asRead } from "../../calibrate/simulate-trials.js";
import { cellSpecimen } from "../../calibrate/specimen.js";
import type { Job } from "../../job/job.js";
import { createStream, type RandomStream } from "../../numeric/random-stream.js";
import type { Place } from "../../readings/instrument.js";
import type { Cause } from "../cause.js";
import { cellPlan } from "../cell-plan.js";
import { type CellRead, cellsRead } from "../cells-read.js";
import { type Explanation, explainCells, NOTHING_ODDS } from "../explain-cells.js";
import { ExplainError } from "../explain-error.js";
import { hypothesisOf } from "../hypothesis.js";
import { widestOf } from "../log-likelihood.js";
import { cellSeater } from "../seat-cells.js";
import { singleCauses } from "../single-causes.js";
import { type BestAnswer, bestClassifier } from "./best-classifier.js";

/** One simulated cell: what was wrong, and what was made of its gaps. */
export interface StudyCell {
  /** Index of the true hypothesis. */
  readonly truth: number;
  /** True size, rad or mm, of a cause that stood alone; NaN where there was none, or several. */
  readonly size: number;
  readonly told: Explanation["told"];
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
  const specimen = cellSpecimen(job);
  const instrument = job.instruments.find(({ name }) => name === options.instrument);
  if (!instrument) throw new ExplainError(`There is no instrument “${options.instrument}” in this job.`);
  const plan = cellPlan(specimen.cell, instrument, places);
  const [toRead] = cellsRead(job, specimen.cell, plan);
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
  const seater = cellSeater(specimen.cell, job);
  const known = new Map<string, Omit<StudyCell, "truth" | "size">>();
  const cells: StudyCell[] = [];
  for (let alone = 0; alone < count; ) {
    const truth = lot(stream, odds);
    const one = hypotheses[truth]!.length === 1;
    if (one) alone++;
    const hypothesis = hypothesisOf(job, hypotheses[truth]!, [toRead!]);
    const unknowns = stream.fill(new Float64Array(hypothesis.unknowns));
    const errors = new Float64Array(specimen.scatter.length);
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
      known.get(key) ?? answered(job, { ...toRead!, readings }, severalOdds, bank > 0 ? best : null);
    known.set(key, answer);
    cells.push({ truth, size: one ? hypothesis.sizesOf(unknowns)[0]! : Number.NaN, ...answer });
    onProgress(cells.length);
  }
  return { hypotheses, cells };
}

const NO_ANSWER: BestAnswer = { probabilities: [], effective: 0, unlike: false };

function answered(
  job: Job,
  read: CellRead,
  severalOdds: number,
  best: ReturnType<typeof bestClassifier> | null,
): Omit<StudyCell, "truth" | "size"> {
  const { told, verdicts, largestRise } = explainCells(job, read.readings, {
    precision: PRECISION,
    severalOdds,
  });
  const byHypothesis = [...verdicts].sort((a, b) => a.index - b.index);
  const { probabilities, effective, unlike } = best?.(read) ?? NO_ANSWER;
  return {
    ...{ told, largestRise, best: probabilities, bestEffective: effective, unlike },
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
