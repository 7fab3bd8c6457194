import { at } from "../../core/numeric/dense.js";
import { closingLimits, type Job } from "../../model/job/job.js";
import type { SeatingKernel } from "../../physics/kernel/seating-kernel.js";
import { orNothing } from "../../physics/predict/cell-model.js";
import { evenly, type ReadCellDraws } from "./cell-draws.js";
import { type CauseId, causeKey } from "./error-shares.js";

/** One remedy: undo the error of a jig or stop, or cut a piece anew. */
export interface Remedy {
  readonly id: CauseId;
  /** Change of the ramp, stop or lean, or of the batch's thickness, rad or mm; `null`: the piece is cut anew. */
  readonly by: number | null;
}

/** The remedies that would close a joint, or a whole cell, made in the same way as this one. */
export interface Closing {
  /** In descending order of their effect; empty if no known remedy would help. */
  readonly remedies: readonly Remedy[];
  /** Mean of the widest gap and of the deepest press there, mm, before and after. */
  readonly before: ClosingOutcome;
  readonly after: ClosingOutcome;
}

/** Gap and press at a joint before or after the remedies. */
export interface ClosingOutcome {
  /** mm, ≥ 0. */
  readonly gap: number;
  /** mm, ≥ 0. */
  readonly press: number;
}

/** Number of cells that are seated for each set of remedies. */
const CELLS = 96;
/** Maximum number of remedies, and the share of the initial excess over the limits that each must remove. */
const MOST = 4;
const LEAST_SHARE = 0.1;

/** Seats a cell as it would be if some of its causes were corrected. */
export class ClosingSearch {
  readonly #of: ReadCellDraws;
  readonly #job: Job;
  readonly #candidates: readonly Remedy[];
  readonly #gaps = new Map<string, Float64Array[]>();

  /** @param known the causes whose sign is known, which may be moved, and by how much. Pieces may always be cut anew. */
  constructor(job: Job, of: ReadCellDraws, known: readonly Remedy[]) {
    this.#job = job;
    this.#of = of;
    const pieces = of.shares.ids.filter(({ kind }) => kind === "piece");
    const acting = new Set(of.shares.ids.map(causeKey));
    this.#candidates = [
      ...known.filter(({ id }) => acting.has(causeKey(id))),
      ...pieces.map((id) => ({ id, by: null })),
    ];
  }

  /** The remedies that would close the whole cell. */
  closingAll(): Closing {
    const { readProbes } = this.#of.cell.part.specimen.reader.model;
    return this.closing(Array.from({ length: readProbes }, (_, probe) => probe));
  }

  /** The remedies that close the joints of some probes, chosen greedily: each is the one with the largest effect. */
  closing(probes: readonly number[]): Closing {
    let remedies: Remedy[] = [];
    let over = this.#over(remedies, probes);
    const start = over;
    while (remedies.length < MOST && !this.#closes(remedies, probes)) {
      const tried = this.#candidates
        .filter(({ id }) => !remedies.some((one) => causeKey(one.id) === causeKey(id)))
        .map((remedy) => ({ remedy, over: this.#over([...remedies, remedy], probes) }));
      const [best] = tried.sort((a, b) => a.over - b.over);
      if (!best || over - best.over < LEAST_SHARE * start) break;
      remedies = [...remedies, best.remedy];
      over = best.over;
    }
    return { remedies, before: this.#outcome([], probes), after: this.#outcome(remedies, probes) };
  }

  #closes(remedies: readonly Remedy[], probes: readonly number[]): boolean {
    const { gap, press } = this.#outcome(remedies, probes);
    const limits = closingLimits(this.#job);
    return gap <= limits.gap && press <= limits.snug;
  }

  /** Mean over the draws of the excess of the probes over the limits, mm. */
  #over(remedies: readonly Remedy[], probes: readonly number[]): number {
    const { gap, snug } = closingLimits(this.#job);
    const seated = this.#seated(remedies);
    let sum = 0;
    for (const gaps of seated)
      for (const probe of probes) sum += Math.max(0, at(gaps, probe) - gap, -at(gaps, probe) - snug);
    return sum / seated.length;
  }

  #outcome(remedies: readonly Remedy[], probes: readonly number[]): ClosingOutcome {
    const seated = this.#seated(remedies);
    const mean = (of: (gaps: Float64Array) => number): number =>
      seated.reduce((sum, gaps) => sum + of(gaps), 0) / seated.length;
    return {
      gap: mean((gaps) => Math.max(0, ...probes.map((probe) => at(gaps, probe)))),
      press: mean((gaps) => Math.max(0, ...probes.map((probe) => -at(gaps, probe)))),
    };
  }

  /** Gaps of each draw with the remedies made, in the job's order; at first order where exact order finds no equilibrium for one of them. */
  #seated(remedies: readonly Remedy[]): Float64Array[] {
    const key = remedies
      .map(({ id }) => causeKey(id))
      .sort()
      .join();
    const known = this.#gaps.get(key);
    if (known) return known;
    const { cell, shares, draws } = this.#of;
    const { reader } = cell.part.specimen;
    const rows = remedies.map(({ id }) => shares.ids.findIndex((one) => causeKey(one) === causeKey(id)));
    const chosen = evenly(draws.length, CELLS).map((d) => at(draws, d));
    const made = chosen.map(({ errors, parts }) => {
      const out = errors.slice();
      for (const [r, { by }] of remedies.entries()) {
        const row = at(rows, r);
        const direction = at(shares.directions, row);
        for (let e = 0; e < errors.length; e++)
          out[e] =
            at(out, e) +
            (by === null ? -at(parts, row * errors.length + e) : direction ? by * at(direction, e) : 0);
      }
      return out;
    });
    const { order, pressRatio } = this.#job;
    const seatedIn = (which: typeof order) =>
      gapsOf(reader.kernel(which, pressRatio), made, reader.model.readProbes);
    const gaps = orNothing(() => seatedIn(order)) ?? seatedIn("first");
    this.#gaps.set(key, gaps);
    return gaps;
  }
}

function gapsOf(kernel: SeatingKernel, cells: readonly Float64Array[], probes: number): Float64Array[] {
  for (const [i, errors] of cells.entries()) kernel.drawsOf(i).set(errors);
  kernel.seat(cells.length);
  return cells.map((_, i) => Float64Array.from({ length: probes }, (_, probe) => kernel.gap(i, probe)));
}
