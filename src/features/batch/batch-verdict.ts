import { at } from "../../core/numeric/dense.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import type { GoNoGo, PieceSizes } from "./go-no-go.js";
import type { BatchWatch } from "./watch-batch.js";

/** Whether a batch may be used, and what is wrong with its mean. */
export interface BatchJudgement {
  /** `null` where neither a job nor a target says what the pieces should be. */
  readonly passes: boolean | null;
  /** Places (0 first) of the pieces that a gauge of the job's sizes would refuse; none without a job. */
  readonly tooLong: readonly number[];
  readonly tooShort: readonly number[];
  /** What the pieces should be, mm; `null` where nothing says it. */
  readonly wanted: number | null;
  /** Mean of the batch less what it should be, mm, longer +, and its expanded uncertainty (U = 2·s/√n); `null` with `wanted`. */
  readonly off: { readonly mean: number; readonly U: number } | null;
  /** Set-ups whose stops set this length; empty without a job. */
  readonly stops: readonly string[];
}

/**
 * Judges a batch of one kind of piece: it passes when no chart signals and every piece lies between the job's no-go and go sizes.
 *
 * @param sizes of this kind of piece, from the job; `null` without one
 */
export function judgeBatch(watch: BatchWatch, job: Job | null, sizes: PieceSizes | null): BatchJudgement {
  const { values, targetFrom, target, verdict } = watch;
  const places = [...values.keys()];
  const tooLong = sizes ? places.filter((i) => at(values, i) > sizes.go) : [];
  const tooShort = sizes ? places.filter((i) => at(values, i) < sizes.noGo) : [];
  const wanted = targetFrom === 0 ? target : (sizes?.nominal ?? null);
  const mean = values.reduce((a, b) => a + b, 0) / values.length;
  const spread = watch.individuals.standardDeviation;
  return {
    passes: wanted === null ? null : verdict === "steady" && tooLong.length + tooShort.length === 0,
    tooLong,
    tooShort,
    wanted,
    off: wanted === null ? null : { mean: mean - wanted, U: (2 * spread) / Math.sqrt(values.length) },
    stops: job && sizes ? stopsOf(job, sizes.kind) : [],
  };
}

/** The sizes of a piece that a table names, `hinge` or `hinge-1`; where it names none, of the job's only kind. */
export function sizesOf({ pieces }: GoNoGo, piece: string): PieceSizes | null {
  if (piece === "") return pieces.length === 1 ? at(pieces, 0) : null;
  return pieces.find(({ kind }) => piece === kind || piece.replace(/-\d+$/, "") === kind) ?? null;
}

/** The set-ups with a stop that cut the far end of a kind of piece. */
function stopsOf(job: Job, kind: string): string[] {
  const far = jobCell(job)
    .pieces.filter((piece) => piece.kind === kind)
    .flatMap(({ cuts }) => cuts.filter(({ end }) => end === 1).map(({ group }) => group));
  return job.setUps
    .filter(({ stop, cuts }) => stop !== null && cuts.some((group) => far.includes(group)))
    .map(({ name }) => name);
}
