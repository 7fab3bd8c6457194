import { at, rowsOf } from "../../core/numeric/dense.js";
import { normalQuantile } from "../../core/numeric/normal.js";
import { createStreams, type RandomStream } from "../../core/numeric/random-stream.js";
import { tQuantile } from "../../core/numeric/student-t.js";
import type { Order } from "../../model/cell/cell.js";
import { type CellSeater, createSeater, type Fitting } from "../../physics/kernel/fitted-kernel.js";
import { MOST_DIMENSIONS, scrambledSobol } from "../../uncertainty/sobol-points.js";
import { typeA } from "../../uncertainty/type-a.js";
import type { ForecastSources, SourceGroup } from "./forecast-sources.js";
import { CONFIDENCE, type Estimated, type ForecastLimits } from "./tally-blocks.js";

/** Points of each replicate, a power of two, and independent replicates whose variance gives the bounds. */
export const BUDGET_POINTS = 1024;
export const BUDGET_REPLICATES = 16;

/** Effect of one group of sources. The bounds (95 %) may reach beyond 0 or 1 by sampling error. */
export interface GroupLine {
  readonly group: SourceGroup;
  /** Share of the variance of the widest gap that would go if this group alone were known. */
  readonly first: Estimated;
  /** Share that would remain if all other groups were known: its own part and all interactions. */
  readonly total: Estimated;
  /** By how much the chance that a cell fails to close would fall if the group were perfect; below zero where its errors compensate others. */
  readonly drop: Estimated;
}

/** Which sources the spread of the widest gap comes from. */
export interface GroupBudget {
  /** `constant`: the widest gap does not vary, and shares are undefined (given as 0). */
  readonly status: "estimated" | "constant";
  /** Variance of the widest gap, mm². */
  readonly variance: number;
  /** Chance that a cell fails to close, by these cells. */
  readonly fails: Estimated;
  /** Number of cells seated. */
  readonly evaluations: number;
  /** Largest total share first. */
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
 * Which group of sources the spread of the widest gap comes from. First-order shares by the estimator of A. Saltelli et al. (Comput. Phys. Commun. 181, 2010),
 * total ones by that of M. J. W. Jansen (1999), with groups in the place of inputs. Shared sources are drawn from scrambled Sobol' points as far as the sequence has
 * dimensions, cut-to-cut errors from a pseudo-random stream. Bounds: Student's t over independent replicates.
 *
 * @throws UserError (code "seating") when a cell finds no rest.
 */
export async function groupBudget(
  sources: ForecastSources,
  options: GroupBudgetOptions,
): Promise<GroupBudget | null> {
  const { limits, pressRatio, order, seed, fitting } = options;
  const { points = BUDGET_POINTS, replicates = BUDGET_REPLICATES, onReplicate } = options;
  const { reader, inputs, groups } = sources;
  const kernel = createSeater(reader.model, { inputs, pressRatio, order, ...(fitting && { fitting }) });
  const runs: Replicate[] = [];
  for (const stream of createStreams(seed, replicates)) {
    runs.push(replicate(kernel, groups, pairDrawer(groups, inputs.draws, stream), limits, points));
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
    evaluations: replicates * points * (2 + 2 * groups.length),
    lines: lines.sort((a, b) => b.total.value - a.total.value),
  };
}

function bounded(values: readonly number[]): Estimated {
  const { mean, standardUncertainty, degreesOfFreedom } = typeA(values);
  const margin = standardUncertainty * tQuantile((1 + CONFIDENCE) / 2, degreesOfFreedom);
  return { value: mean, low: mean - margin, high: mean + margin };
}

/** Writes two independent trials' draws. */
type PairDrawer = (a: Float64Array, b: Float64Array) => void;

function pairDrawer(groups: readonly SourceGroup[], draws: number, stream: RandomStream): PairDrawer {
  const even = groups
    .flatMap((group) => (group.shared ? group.draws : []))
    .slice(0, Math.floor(MOST_DIMENSIONS / 2));
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
  };
}

interface Replicate {
  readonly variance: number;
  /** Variance that each group explains alone, and that remains with all others known. */
  readonly first: Float64Array;
  readonly total: Float64Array;
  readonly fails: number;
  readonly failsWithout: Float64Array;
}

/** Each point is seated as drawn (A), drawn anew (B), and for each group as A with the group's draws from B, and as A with the group perfect: one batch after the other. */
function replicate(
  kernel: CellSeater,
  groups: readonly SourceGroup[],
  drawPair: PairDrawer,
  limits: ForecastLimits,
  points: number,
): Replicate {
  const n = groups.length;
  const rows = 2 + 2 * n;
  const atOnce = Math.max(1, Math.floor(kernel.batchTrials / rows));
  const { draws } = kernel.inputs;
  const [a, b] = [new Float64Array(draws), new Float64Array(draws)];
  const gaps = new Float64Array(points * (2 + n));
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
        const mixed = kernel.drawsOf(own + 2 + g);
        const perfect = kernel.drawsOf(own + 2 + n + g);
        mixed.set(a);
        perfect.set(a);
        for (const [j, k] of group.draws.entries()) {
          mixed[k] = at(b, k);
          perfect[k] = at(group.perfect, j);
        }
      }
    }
    kernel.seat(some * rows);
    for (let i = 0; i < some; i++) {
      for (let r = 0; r < 2 + n; r++) gaps[(start + i) * (2 + n) + r] = kernel.widestGap(i * rows + r);
      fails += failing(i * rows);
      for (const [g, sum] of failsWithout.entries())
        failsWithout[g] = sum + failing(i * rows + 2 + n + g) / points;
    }
  }
  return { ...shares(gaps, n, points), fails: fails / points, failsWithout };
}

function shares(gaps: Float64Array, n: number, points: number): Omit<Replicate, "fails" | "failsWithout"> {
  const width = 2 + n;
  const both = gaps.filter((_, k) => k % width < 2);
  const { mean, standardDeviation } = typeA(both);
  const first = new Float64Array(n);
  const total = new Float64Array(n);
  for (const row of rowsOf(gaps, width)) {
    const [a, b] = [at(row, 0), at(row, 1)];
    for (const [g, mixed] of row.subarray(2).entries()) {
      const change = mixed - a;
      first[g] = at(first, g) + ((b - mean) * change) / points;
      total[g] = at(total, g) + change ** 2 / (2 * points);
    }
  }
  return { variance: standardDeviation ** 2, first, total };
}
