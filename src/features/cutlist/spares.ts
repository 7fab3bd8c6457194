import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import { createStream } from "../../core/numeric/random-stream.js";
import { incompleteBeta } from "../../core/numeric/special-functions.js";
import { CellDrawer } from "../../inference/forecast/cell-drawer.js";
import { forecastSources } from "../../inference/forecast/forecast-sources.js";
import { effectiveCount } from "../../inference/forecast/shop-range.js";
import { chanceFrom, type Estimated } from "../../inference/forecast/tally-blocks.js";
import { type JobPosterior, jobPosterior } from "../../inference/job-posterior.js";
import { errorLayout, noErrors } from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import { createKernel } from "../../physics/kernel/seating-kernel.js";
import { cellModel } from "../../physics/predict/cell-model.js";

/** Pieces of one kind that must be there, and how readily one is lost. */
export interface Needed {
  /** For messages. */
  readonly name?: string;
  /** Number of pieces needed. */
  readonly count: number;
  /** Chance that a piece is scrap, 0 … below 1; independent from piece to piece. */
  readonly scrap: number;
  /** What one more of them costs: its rough length, mm. */
  readonly length: number;
}

/** Most spares of a kind, and the chance of scrap from which on none are reckoned. */
const MOST_SPARES = 10_000;
const HOPELESS = 0.9;

/**
 * Chance that of count + spares pieces at least `count` are good: the binomial tail, Σ over k ≥ count of C(n, k)·(1 − p)^k·p^(n − k), which is the
 * distribution of a negative binomial and equals the incomplete beta function I₁₋ₚ(count, spares + 1).
 *
 * @throws RangeError for a chance of scrap not in 0 … 1
 * @example
 * chanceEnough({ count: 10, scrap: 0.05 }, 1) // 0.8981
 */
export function chanceEnough({ count, scrap }: Omit<Needed, "length">, spares: number): number {
  if (count === 0) return 1;
  return incompleteBeta(1 - scrap, count, spares + 1, scrap).lower;
}

/**
 * How many spares of each kind to cut so that all kinds suffice together with the chance wanted. One spare after the other is given to the kind where it raises the chance most for
 * its wood (logarithm of the chance a mm); kinds are independent, so that their chances multiply. What no longer is needed in the end is taken away again.
 *
 * @param sure chance wanted, above 0 and below 1
 * @throws UserError (code "cut-list") when it takes more spares than anyone would cut.
 * @example
 * sparesFor([{ count: 10, scrap: 0.05, length: 45 }], 0.9).spares // [2]
 */
export function sparesFor(needed: readonly Needed[], sure: number): { spares: number[]; chance: number } {
  for (const { name = "piece", scrap } of needed)
    if (!(scrap < HOPELESS))
      throw new UserError(
        "cut-list",
        `Too many of the ${name} are scrap for spares to help: fewer than ${HOPELESS} of them may be; here it is ${scrap.toFixed(2)}. See what “sukima predict FOLDER --uncertain” blames, and whether scatter and the gap limit in the job are as you meant them.`,
        { key: ["scatter"] },
      );
  const spares = needed.map(() => 0);
  const own = needed.map((kind) => chanceEnough(kind, 0));
  const together = (): number => own.reduce((product, chance) => product * chance, 1);
  while (together() < sure) {
    const gains = needed.map((kind, i) =>
      kind.scrap === 0
        ? 0
        : Math.log(chanceEnough(kind, at(spares, i) + 1) / Math.max(at(own, i), Number.MIN_VALUE)) /
          kind.length,
    );
    const best = gains.indexOf(Math.max(...gains));
    spares[best] = at(spares, best) + 1;
    if (at(spares, best) > MOST_SPARES)
      throw new UserError(
        "cut-list",
        `Too many pieces are scrap: with at most ${MOST_SPARES} spares of each kind there must be enough good ones; the chance that a ${at(needed, best).name ?? "piece"} is scrap is ${at(needed, best).scrap.toFixed(3)}. Mend the jigs first, or write a smaller sure or mishaps into the section stock.`,
        { key: ["stock"] },
      );
    own[best] = chanceEnough(at(needed, best), at(spares, best));
  }
  // The longest first: where one can go, most wood is saved.
  const longest = needed.map((_, i) => i).sort((a, b) => at(needed, b).length - at(needed, a).length);
  for (const i of longest) {
    while (at(spares, i) > 0) {
      const without = chanceEnough(at(needed, i), at(spares, i) - 1);
      if ((together() / at(own, i)) * without < sure) break;
      spares[i] = at(spares, i) - 1;
      own[i] = without;
    }
  }
  return { spares, chance: together() };
}

/** Pieces drawn of each kind. */
export const SCRAP_DRAWS = 20_000;

/**
 * Chance that a piece of a kind is scrap by its own cuts: that in a cell otherwise without error its own errors from cut to cut (angles, lengths, thickness) open a gap over the
 * job's limit, which no trimming closes. Jigs and stops are assumed to be set right: what is wrong with them spoils all pieces alike, and is for the card to mend.
 *
 * @param piece name of one piece of the kind
 * @param posterior what is known of the scatters; default: what the job states
 * @throws UserError (code "seating") when a cell finds no equilibrium.
 */
export function scrapChance(
  job: Job,
  piece: string,
  draws = SCRAP_DRAWS,
  seed = 1,
  posterior: JobPosterior = jobPosterior(job, [], { seed }),
): Estimated {
  const cell = jobCell(job);
  const { inputs, groups, draws: how } = forecastSources(job, posterior);
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
    for (const [column, k] of columns.entries())
      matrix[row * columns.length + column] = at(inputs.matrix, row * inputs.draws + k);
  const kernel = createKernel(cellModel(cell), {
    order: job.order,
    pressRatio: job.pressRatio,
    inputs: { mean: noErrors(cell), matrix, draws: columns.length },
  });
  const stream = createStream(seed);
  const scatterOf = Int8Array.from(columns, (k) => at(how.scatterOf, k - how.shared));
  const drawer = new CellDrawer({ ...how, shared: 0, scatterOf, correlation: null });
  const scrap = new Uint8Array(draws);
  for (let start = 0; start < draws; start += kernel.batchTrials) {
    const batch = Math.min(kernel.batchTrials, draws - start);
    for (let trial = 0; trial < batch; trial++) drawer.draw(stream, start + trial, kernel.drawsOf(trial));
    kernel.seat(batch);
    for (let trial = 0; trial < batch; trial++)
      scrap[start + trial] = kernel.widestGap(trial) > job.limits.gap ? 1 : 0;
  }
  const worth = effectiveCount(scrap, how.shops);
  return chanceFrom((scrap.reduce((sum, one) => sum + one, 0) / draws) * worth, worth);
}
