import { columnOf, present } from "../../core/numeric/dense.js";
import { type Basis, type JobPosterior, jobPosterior } from "../../inference/job-posterior.js";
import { cellSpecimen, type Specimen } from "../../inference/likelihood/specimen.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { drawsOfCell } from "./cell-draws.js";
import { type CellRead, cellsRead, onlyCellsRead, requireCellGaps } from "./cells-read.js";
import { type Closing, ClosingSearch, type Remedy } from "./closing.js";
import { type JointCauses, jointCauses } from "./joint-causes.js";
import { type SourceCause, sourceCauses } from "./source-causes.js";
import { POSTERIORS, type Story, storiesIn, wellKnown } from "./stories.js";

/** A joint that is open or pressed, its causes, and the remedies that would close it. */
export interface JointExplained extends JointCauses {
  readonly closing: Closing;
}

/** An assembled cell that was read. */
export interface CellExplained {
  readonly cell: CellRead;
  /** Its open or pressed joints, in descending order of their deviation. */
  readonly joints: readonly JointExplained[];
  /** The remedies that would close the whole cell; `null` if no joint is open or pressed. */
  readonly closing: Closing | null;
}

/** Why assembled cells gap. */
export interface Explanation {
  readonly job: Job;
  /** Seed of every draw. */
  readonly seed: number;
  /** The posterior of the job's sources: that of the calibration with the same seed. */
  readonly posterior: JobPosterior;
  readonly basis: Basis;
  readonly specimen: Specimen;
  readonly cells: readonly CellExplained[];
  /** Current ramps, stops, leans and thickness, in descending order of their ratio to the size that matters. */
  readonly sources: readonly SourceCause[];
  /** If only cells were read and they identify no source's sign: the stories that fit, the most probable first. Otherwise `null`. */
  readonly stories: readonly Story[] | null;
}

/** Seed, effort and progress callback of an explanation. */
export interface ExplainOptions {
  /** Seed of every draw; default 1. */
  readonly seed?: number;
  /** Maximum number of posteriors over which the probabilities of stories are averaged, ≥ 2; default {@link POSTERIORS}.most. Fewer take less time but leave a larger sampling error. */
  readonly posteriors?: number;
  readonly onProgress?: (step: string) => void;
}

/** Increment of the seed from one further posterior to the next. */
const NEXT_SEED = 10_007;

/**
 * Explains why the joints of assembled cells are open or pressed: which error sources cause it, by how much each, which remedies would close them and, if the readings allow several stories,
 * the stories with their probabilities. Everything is computed from the one posterior of all readings, those of trial pieces included.
 *
 * @throws UserError (code "explanation") when no gap of an assembled cell was read.
 * @example
 * const gaps = simulateTrials(job, cellPlan(jobCell(job), job.instruments[0]), { truth: new Float64Array(jobSources(job).length), seed: 2 });
 * explainCells(job, gaps).cells.length // 1
 */
export function explainCells(
  job: Job,
  readings: readonly Reading[],
  { seed = 1, posteriors = POSTERIORS.most, onProgress = () => {} }: ExplainOptions = {},
): Explanation {
  requireCellGaps(job, readings);
  const posteriorWith = (one: number): JobPosterior =>
    jobPosterior(job, readings, { seed: one, keepStates: true });
  onProgress("fitting the jigs and stops to the readings");
  const posterior = posteriorWith(seed);
  const fit = present(posterior.fit);
  const sources = sourceCauses(posterior).sort((a, b) => beyond(b) - beyond(a));
  const known = sources
    .filter(({ sign, sides }) => sign !== 0 && sides === null)
    .map(({ id, estimate }): Remedy => ({ id, by: -estimate }));
  onProgress("sharing out the gaps");
  const cells = cellsRead(fit).map((cell): CellExplained => {
    const draws = drawsOfCell(fit, cell);
    const search = new ClosingSearch(job, draws, known);
    const joints = jointCauses(job, draws).map((joint) => ({
      ...joint,
      closing: search.closing(joint.probes),
    }));
    return { cell, joints, closing: joints.length === 0 ? null : search.closingAll() };
  });
  return {
    job,
    seed,
    posterior,
    sources,
    cells,
    basis: posterior.basis,
    specimen: cellSpecimen(job, fit.target.cells),
    stories:
      onlyCellsRead(readings) && known.length === 0
        ? storiesFrom(posterior, posteriorWith, { seed, most: Math.max(2, posteriors) })
        : null,
  };
}

/** Ratio of a source to the size at which it matters: 1 if it just matters. */
const beyond = ({ estimate, sides, matters }: SourceCause): number => {
  const places = sides ? [sides.above.estimate, sides.below.estimate] : [estimate];
  return Math.max(...places.map((x) => Math.abs(x) / (x > 0 ? matters.above : matters.below)));
};

/** Adds posteriors until the probabilities of the most probable stories are known precisely enough. */
function storiesFrom(
  first: JobPosterior,
  posteriorWith: (seed: number) => JobPosterior,
  { seed, most }: { readonly seed: number; readonly most: number },
): Story[] {
  const { job, sources, fit } = first;
  const { matrix } = cellSpecimen(job, fit?.target.cells);
  const p = sources.length;
  const acting = sources.flatMap((_, s) => (columnOf(matrix, s, p).some((slope) => slope !== 0) ? [s] : []));
  const posteriors = [first];
  for (;;) {
    while (posteriors.length < Math.min(POSTERIORS.least, most))
      posteriors.push(posteriorWith(seed + NEXT_SEED * posteriors.length));
    const stories = storiesIn(posteriors, acting);
    if (wellKnown(stories) || posteriors.length >= most) return stories;
    posteriors.push(posteriorWith(seed + NEXT_SEED * posteriors.length));
  }
}
