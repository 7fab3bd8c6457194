import { at, columnOf, rowOf, rowsOf } from "../../core/numeric/dense.js";
import { symmetricInverse } from "../../core/numeric/linear-algebra.js";
import { normalQuantile } from "../../core/numeric/normal.js";
import { createStreams, type RandomStream } from "../../core/numeric/random-stream.js";
import { tQuantile } from "../../core/numeric/student-t.js";
import type { Order } from "../../model/cell/cell.js";
import { type CellSeater, createSeater, type Fitting } from "../../physics/kernel/fitted-kernel.js";
import { MOST_DIMENSIONS, scrambledSobol } from "../../uncertainty/sobol-points.js";
import { typeA } from "../../uncertainty/type-a.js";
import { CellDrawer, type CellDraws } from "./cell-drawer.js";
import type { ForecastSources, SourceGroup } from "./forecast-sources.js";
import { CONFIDENCE, type Estimated, type ForecastLimits } from "./tally-blocks.js";

/** Number of points of each replicate, a power of two, and number of independent replicates, whose variance gives the bounds. */
export const BUDGET_POINTS = 1024;
export const BUDGET_REPLICATES = 16;

/** Fewest points of a replicate. */
const FEWEST_POINTS = 16;

/** Points of each replicate for a forecast of this many cells: in total as many points as cells, limited to 256 … 16,384, so that the work scales with the forecast. */
export const budgetPoints = (cells: number): number =>
  2 ** Math.ceil(Math.log2(Math.min(BUDGET_POINTS, Math.max(FEWEST_POINTS, cells / BUDGET_REPLICATES))));

/** Effect of one group of sources. The bounds (95 %) may reach beyond 0 or 1 by sampling error. */
export interface GroupLine {
  readonly group: SourceGroup;
  /** First-order index: share of the variance of the widest gap that would be removed if this group alone were known. */
  readonly first: Estimated;
  /** Total index: share that would remain if all other groups were known, that is its own part and all interactions. */
  readonly total: Estimated;
  /** Decrease of the probability that a cell fails to close if the group were perfect; negative if its errors compensate others. */
  readonly drop: Estimated;
}

/** Decomposition of the variance of the widest gap by groups of sources. */
export interface GroupBudget {
  /** `constant`: the widest gap does not vary, and shares are undefined (given as 0). */
  readonly status: "estimated" | "constant";
  /** Variance of the widest gap, mm². */
  readonly variance: number;
  /** Probability that a cell fails to close, estimated from these cells. */
  readonly fails: Estimated;
  /** Number of cells seated. */
  readonly evaluations: number;
  /** One line for each group, the largest total share first. */
  readonly lines: readonly GroupLine[];
}

export interface GroupBudgetOptions {
  readonly limits: ForecastLimits;
  readonly pressRatio: number;
  /** How pieces are fitted by trial; without it, cells are as cut. */
  readonly fitting?: Fitting;
  readonly order: Order;
  readonly seed: number;
  readonly points?: number;
  readonly replicates?: number;
  /** Called after each replicate; the budget ends with `null` when it returns false. */
  readonly onReplicate?: (done: number, of: number) => Promise<boolean>;
}

/**
 * Sensitivity indices of the widest gap by groups of sources. First-order shares are computed by the estimator of A. Saltelli et al. (Comput. Phys. Commun. 181, 2010),
 * total ones by that of M. J. W. Jansen (1999), with groups in place of inputs. Shared sources are drawn from scrambled Sobol' points as far as the sequence has
 * dimensions, cut-to-cut errors from a pseudo-random stream. Bounds: Student's t over independent replicates.
 * If readings correlate sources, knowing one shifts the conditional means of the others; these means are assumed linear, as for a normal distribution
 * (the indices of T. A. Mara and S. Tarantola, Reliab. Eng. Syst. Saf. 107, 2012, from memory: a source together with what is correlated with it, and a source by itself).
 *
 * @throws UserError (code "seating") when a cell finds no equilibrium.
 */
export async function groupBudget(
  sources: ForecastSources,
  options: GroupBudgetOptions,
): Promise<GroupBudget | null> {
  const { limits, pressRatio, order, seed, fitting } = options;
  const { points = BUDGET_POINTS, replicates = BUDGET_REPLICATES, onReplicate } = options;
  const { reader, inputs, groups, draws } = sources;
  const kernel = createSeater(reader.model, { inputs, pressRatio, order, ...(fitting && { fitting }) });
  const mixers = groups.map((group) => mixerOf(group, draws));
  const runs: Replicate[] = [];
  for (const stream of createStreams(seed, replicates)) {
    const drawPair = pairDrawer(sources, inputs.draws, stream);
    runs.push(replicate(kernel, { groups, mixers, drawPair, limits, points }));
    if (onReplicate && !(await onReplicate(runs.length, replicates))) return null;
  }
  const over = (pick: (run: Replicate) => number): Estimated => bounded(runs.map(pick));
  const variance = over((run) => run.variance).value;
  const constant = !(variance > 0);
  const share = (pick: (run: Replicate) => number): Estimated =>
    constant ? { value: 0, low: 0, high: 0 } : over((run) => pick(run) / variance);
  const lines = groups.map((group, g) => ({
    group,
    first: share((run) => at(run.first, g)),
    total: share((run) => at(run.total, g)),
    drop: over((run) => run.fails - at(run.failsWithout, g)),
  }));
  return {
    status: constant ? "constant" : "estimated",
    variance,
    fails: over((run) => run.fails),
    evaluations: replicates * points * rowsFor(groups.length, mixers),
    lines: lines.sort((a, b) => b.total.value - a.total.value),
  };
}

function bounded(values: readonly number[]): Estimated {
  const { mean, standardUncertainty, degreesOfFreedom } = typeA(values);
  const margin = standardUncertainty * tQuantile((1 + CONFIDENCE) / 2, degreesOfFreedom);
  return { value: mean, low: mean - margin, high: mean + margin };
}

/** Writes the draws of two independent trials. */
type PairDrawer = (a: Float64Array, b: Float64Array) => void;

function pairDrawer(
  { groups, draws: how }: Pick<ForecastSources, "groups" | "draws">,
  draws: number,
  stream: RandomStream,
): PairDrawer {
  const drawer = new CellDrawer(how);
  const { shops } = how;
  const even = shops
    ? []
    : groups.flatMap((group) => (group.shared ? group.draws : [])).slice(0, Math.floor(MOST_DIMENSIONS / 2));
  const sequence = even.length > 0 ? scrambledSobol(2 * even.length, stream) : null;
  const point = new Float64Array(2 * even.length);
  const rest = Array.from({ length: draws }, (_, k) => k).filter((k) => !even.includes(k));
  return (a, b) => {
    sequence?.next(point);
    for (const [i, k] of even.entries()) {
      a[k] = normalQuantile(at(point, i));
      b[k] = normalQuantile(at(point, even.length + i));
    }
    for (const k of rest) {
      a[k] = stream.normal();
      b[k] = stream.normal();
    }
    for (const drawn of [a, b]) {
      const shop = shops ? stream.integer(shops.count) : 0;
      drawer.share(shop, drawn);
      drawer.scale(shop, drawn);
    }
  };
}

/** Copies of the draws `a` in which one group is replaced from the draws `b`. */
interface Mixer {
  /** All other draws stay, and the group is drawn anew from its distribution conditional on them. */
  readonly total: (a: Float64Array, b: Float64Array, out: Float64Array) => void;
  /** The group is taken from b, and all other draws of a shift with it; `null` if nothing is correlated with the group, because `total` then does the same. */
  readonly first: ((a: Float64Array, b: Float64Array, out: Float64Array) => void) | null;
}

function mixerOf({ shared, draws }: SourceGroup, { correlation, shared: n }: CellDraws): Mixer {
  const replace = (a: Float64Array, b: Float64Array, out: Float64Array): void => {
    out.set(a);
    for (const k of draws) out[k] = at(b, k);
  };
  const own = at(draws, 0);
  const along = shared && correlation ? columnOf(correlation, own, n) : null;
  if (along === null || along.every((r, k) => k === own || r === 0)) return { total: replace, first: null };
  const precision = rowOf(symmetricInverse(correlation as Float64Array, n), own, n);
  const weights = precision.map((value, k) => (k === own ? 0 : -value / at(precision, own)));
  const expected = (drawn: Float64Array): number =>
    weights.reduce((sum, weight, k) => sum + weight * at(drawn, k), 0);
  return {
    total: (a, b, out) => {
      out.set(a);
      out[own] = expected(a) + at(b, own) - expected(b);
    },
    first: (a, b, out) => {
      out.set(a);
      const shift = at(b, own) - at(a, own);
      for (const [k, r] of along.entries()) out[k] = at(a, k) + r * shift;
    },
  };
}

const rowsFor = (groups: number, mixers: readonly Mixer[]): number =>
  2 + 2 * groups + mixers.filter(({ first }) => first !== null).length;

interface Replicate {
  readonly variance: number;
  /** Variance that each group explains alone, and that remains with all others known. */
  readonly first: Float64Array;
  readonly total: Float64Array;
  readonly fails: number;
  readonly failsWithout: Float64Array;
}

interface ReplicateOptions {
  readonly groups: readonly SourceGroup[];
  readonly mixers: readonly Mixer[];
  readonly drawPair: PairDrawer;
  readonly limits: ForecastLimits;
  readonly points: number;
}

/**
 * Each point is seated as drawn (A), drawn anew (B), and for each group as A with the group's draws from B, as A with the group perfect, and, if other groups are correlated with it, as A conditional on the group
 * of B; one batch after another.
 */
function replicate(kernel: CellSeater, options: ReplicateOptions): Replicate {
  const { groups, mixers, drawPair, limits, points } = options;
  const n = groups.length;
  const tied = mixers.flatMap(({ first }, g) => (first ? [{ first, g }] : []));
  const rows = rowsFor(n, mixers);
  const atOnce = Math.max(1, Math.floor(kernel.batchTrials / rows));
  const { draws } = kernel.inputs;
  const [a, b] = [new Float64Array(draws), new Float64Array(draws)];
  const gaps = new Float64Array(points * (2 + 2 * n));
  const failsWithout = new Float64Array(n);
  let fails = 0;
  const failing = (trial: number): number =>
    kernel.widestGap(trial) > limits.gap || kernel.deepestPress(trial) > limits.snug ? 1 : 0;
  for (let start = 0; start < points; start += atOnce) {
    const some = Math.min(atOnce, points - start);
    for (let i = 0; i < some; i++) {
      drawPair(a, b);
      const own = i * rows;
      kernel.drawsOf(own).set(a);
      kernel.drawsOf(own + 1).set(b);
      for (const [g, group] of groups.entries()) {
        at(mixers, g).total(a, b, kernel.drawsOf(own + 2 + g));
        const perfect = kernel.drawsOf(own + 2 + n + g);
        perfect.set(a);
        for (const [j, k] of group.draws.entries()) perfect[k] = at(group.perfect, j);
      }
      for (const [t, { first }] of tied.entries()) first(a, b, kernel.drawsOf(own + 2 + 2 * n + t));
    }
    kernel.seat(some * rows);
    for (let i = 0; i < some; i++) {
      const row = rowOf(gaps, start + i, 2 + 2 * n);
      for (let r = 0; r < 2 + n; r++) row[r] = kernel.widestGap(i * rows + r);
      row.set(row.subarray(2, 2 + n), 2 + n);
      for (const [t, { g }] of tied.entries()) row[2 + n + g] = kernel.widestGap(i * rows + 2 + 2 * n + t);
      fails += failing(i * rows);
      for (const [g, sum] of failsWithout.entries())
        failsWithout[g] = sum + failing(i * rows + 2 + n + g) / points;
    }
  }
  return { ...shares(gaps, n, points), fails: fails / points, failsWithout };
}

/** @param gaps widest gaps of each point, mm: as drawn, drawn anew, with each group drawn anew, and with each group and everything correlated with it. */
function shares(gaps: Float64Array, n: number, points: number): Omit<Replicate, "fails" | "failsWithout"> {
  const width = 2 + 2 * n;
  const both = gaps.filter((_, k) => k % width < 2);
  const { mean, standardDeviation } = typeA(both);
  const first = new Float64Array(n);
  const total = new Float64Array(n);
  for (const row of rowsOf(gaps, width)) {
    const [a, b] = [at(row, 0), at(row, 1)];
    for (let g = 0; g < n; g++) {
      total[g] = at(total, g) + (at(row, 2 + g) - a) ** 2 / (2 * points);
      first[g] = at(first, g) + ((b - mean) * (at(row, 2 + n + g) - a)) / points;
    }
  }
  return { variance: standardDeviation ** 2, first, total };
}
