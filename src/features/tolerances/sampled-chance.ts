import { at } from "../../core/numeric/dense.js";
import { normalCdf } from "../../core/numeric/normal.js";
import { createStream } from "../../core/numeric/random-stream.js";
import type { ForecastSources } from "../../inference/forecast/forecast-sources.js";
import type { Order } from "../../model/cell/cell.js";
import { createKernel, type SeatingKernel } from "../../physics/kernel/seating-kernel.js";
import { cellModel } from "../../physics/predict/cell-model.js";
import type { ChanceAt } from "./cheapest-tolerances.js";

/** How far from a limit a cell counts in part, as a share of the limit. */
export const SMOOTHING = 0.15;
/** Step of a logarithm for slopes by central differences. */
const STEP = 0.05;

export interface SampledChanceOptions {
  readonly limits: { readonly gap: number; readonly snug: number };
  readonly pressRatio: number;
  readonly order: Order;
  readonly cells: number;
  readonly seed: number;
}

/**
 * The chance that a cell closes from one set of cells drawn once: a tolerance that changes only stretches the draws of its source, so that the chance moves smoothly and without noise of
 * its own (common random numbers). For its slopes a cell near a limit counts in part, by the normal distribution of its distance to the limit.
 */
export class SampledChance {
  readonly #kernel: SeatingKernel;
  readonly #limits: SampledChanceOptions["limits"];
  readonly #normals: Float64Array;
  readonly #cells: number;
  readonly #draws: number;
  /** Which draws belong to each tolerance. */
  readonly #groups: readonly (readonly number[])[];

  /** @param groups draws of the sources that each tolerance stretches; all others stay as they are. */
  constructor(
    { cell, inputs }: ForecastSources,
    groups: readonly (readonly number[])[],
    options: SampledChanceOptions,
  ) {
    const { limits, pressRatio, order, cells, seed } = options;
    this.#kernel = createKernel(cellModel(cell), { inputs, pressRatio, order });
    this.#limits = limits;
    this.#cells = cells;
    this.#draws = inputs.draws;
    this.#groups = groups;
    this.#normals = createStream(seed).fill(new Float64Array(cells * inputs.draws));
  }

  /** Share of the cells that close. */
  share(tolerances: Float64Array): number {
    return this.#mean(tolerances, (excess) => (excess <= 0 ? 1 : 0));
  }

  /** The smoothed chance. */
  smooth(tolerances: Float64Array): number {
    return this.#mean(tolerances, (excess) => normalCdf(-excess / SMOOTHING));
  }

  /** The smoothed chance with its slopes. */
  at = (tolerances: Float64Array): ChanceAt => ({
    chance: this.smooth(tolerances),
    slopes: () =>
      tolerances.map((s, i) => {
        const [tighter, looser] = [-STEP, STEP].map((step) =>
          this.smooth(tolerances.with(i, s * Math.exp(step))),
        );
        return (looser! - tighter!) / (2 * STEP);
      }),
  });

  /** @param count what a cell counts by how far it is beyond its limits, as a share of the limit that it misses most. */
  #mean(tolerances: Float64Array, count: (excess: number) => number): number {
    const kernel = this.#kernel;
    const stretch = new Float64Array(this.#draws).fill(1);
    for (const [i, group] of this.#groups.entries()) for (const k of group) stretch[k] = at(tolerances, i);
    const { gap, snug } = this.#limits;
    const normals = this.#normals;
    const draws = this.#draws;
    let sum = 0;
    for (let start = 0; start < this.#cells; start += kernel.batchTrials) {
      const batch = Math.min(kernel.batchTrials, this.#cells - start);
      for (let trial = 0; trial < batch; trial++) {
        const own = kernel.drawsOf(trial);
        const from = (start + trial) * draws;
        // Within the bounds of all three by construction; checked access here took half of the command's time.
        for (let k = 0; k < draws; k++) own[k] = normals[from + k]! * stretch[k]!;
      }
      kernel.seat(batch);
      for (let trial = 0; trial < batch; trial++)
        sum += count(Math.max(kernel.widestGap(trial) / gap - 1, kernel.deepestPress(trial) / snug - 1));
    }
    return sum / this.#cells;
  }
}
