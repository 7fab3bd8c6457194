import { createSeater, type SeaterOptions } from "../kernel/fitted/create-seater.js";
import { cellModel } from "../predict/cell-model.js";
import { settleWithSlopes } from "../predict/settle.js";
import type { OutlookSources } from "./outlook-sources.js";

/** Gaps at the expected errors, mm, and what each changes by for one standard deviation of each draw, row-major (probe, draw), mm. */
export interface LinearSlopes {
  readonly gap: Float64Array;
  readonly byDraw: Float64Array;
}

/** Step to either side for differences, in standard deviations of a draw: a share of a micrometre, far above the rounding of a fit. */
const STEP = 1e-3;

/** Slopes of the gaps: of cells as cut by implicit differentiation, of fitted ones by central differences, each fitted anew. */
export function linearSlopes(sources: OutlookSources, options: Omit<SeaterOptions, "inputs">): LinearSlopes {
  return options.fitting ? byDifferences(sources, options) : byDerivatives(sources, options);
}

function byDerivatives({ cell, inputs }: OutlookSources, options: SeaterOptions): LinearSlopes {
  const { mean, matrix, draws } = inputs;
  const model = cellModel(cell);
  const { rest, slopes } = settleWithSlopes(model, mean, options);
  const byDraw = new Float64Array(model.readProbes * draws);
  for (let probe = 0; probe < model.readProbes; probe++) {
    for (let e = 0; e < mean.length; e++) {
      const slope = slopes[probe * mean.length + e]!;
      for (let k = 0; k < draws; k++) byDraw[probe * draws + k]! += slope * matrix[e * draws + k]!;
    }
  }
  return { gap: rest.gap, byDraw };
}

function byDifferences({ cell, inputs }: OutlookSources, options: SeaterOptions): LinearSlopes {
  const model = cellModel(cell);
  const { draws } = inputs;
  const kernel = createSeater(model, { ...options, inputs });
  const gapsAt = (at: number, step: number): Float64Array => {
    const drawn = kernel.drawsOf(0);
    drawn.fill(0);
    if (at >= 0) drawn[at] = step;
    kernel.seat(1);
    return Float64Array.from({ length: model.readProbes }, (_, probe) => kernel.gap(0, probe));
  };
  const byDraw = new Float64Array(model.readProbes * draws);
  for (let k = 0; k < draws; k++) {
    const [more, less] = [gapsAt(k, STEP), gapsAt(k, -STEP)];
    for (let probe = 0; probe < model.readProbes; probe++)
      byDraw[probe * draws + k] = (more[probe]! - less[probe]!) / (2 * STEP);
  }
  return { gap: gapsAt(-1, 0), byDraw };
}
