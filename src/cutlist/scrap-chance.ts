import { cellOf } from "../calibrate/specimen.js";
import { errorLayout, noErrors } from "../cutting/error-layout.js";
import type { Job } from "../job/job.js";
import { createKernel } from "../kernel/create-kernel.js";
import { createStream } from "../numeric/random-stream.js";
import { chanceFrom, type Estimated } from "../outlook/estimated.js";
import { outlookSources } from "../outlook/outlook-sources.js";
import { cellModel } from "../predict/cell-model.js";

/** Pieces drawn of each kind. */
export const SCRAP_DRAWS = 20_000;

/**
 * Chance that a piece of a kind is scrap by its own cuts: that in a cell otherwise without error its own errors from cut to cut (angles, lengths, thickness) open a gap over the
 * job's limit, which no trimming closes. Jigs and stops are taken as set right: what is wrong with them spoils all pieces alike, and is for the card to mend.
 *
 * @param piece name of one piece of the kind
 * @throws SeatingError when a cell finds no rest.
 */
export function scrapChance(job: Job, piece: string, draws = SCRAP_DRAWS, seed = 1): Estimated {
  const cell = cellOf(job);
  const { inputs, groups } = outlookSources(job);
  const layout = errorLayout(cell);
  const own = new Set(layout.entries.flatMap(({ owner }, row) => (owner === piece ? [row] : [])));
  // A draw that no other piece shares, and that moves this one.
  const columns = groups
    .filter(({ shared }) => !shared)
    .flatMap((group) => group.draws)
    .filter((k) => [...own].some((row) => inputs.matrix[row * inputs.draws + k] !== 0));
  if (columns.length === 0) return { value: 0, low: 0, high: 0 };
  const matrix = new Float64Array(layout.entries.length * columns.length);
  for (const row of own)
    for (const [at, k] of columns.entries())
      matrix[row * columns.length + at] = inputs.matrix[row * inputs.draws + k]!;
  const kernel = createKernel(cellModel(cell), {
    ...{ order: job.order, pressRatio: job.pressRatio },
    inputs: { mean: noErrors(cell), matrix, draws: columns.length },
  });
  const stream = createStream(seed);
  let scrap = 0;
  for (let start = 0; start < draws; start += kernel.batchTrials) {
    const batch = Math.min(kernel.batchTrials, draws - start);
    for (let trial = 0; trial < batch; trial++) stream.fill(kernel.drawsOf(trial));
    kernel.seat(batch);
    for (let trial = 0; trial < batch; trial++) if (kernel.worstGap(trial) > job.limits.gap) scrap++;
  }
  return chanceFrom(scrap, draws);
}
