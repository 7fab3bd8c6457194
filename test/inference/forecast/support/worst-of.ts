import type { ForecastSources } from "../../../../src/inference/forecast/forecast-sources.js";
import { cellModel } from "../../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../../src/physics/predict/equilibrium.js";

/** Widest gap and press for given draws, by the readable solver in first order, mm. */
export function worstOf({ cell, inputs }: ForecastSources, pressRatio: number, drawn: readonly number[]) {
  const { draws, matrix, mean } = inputs;
  const errors = mean.map((start, e) => drawn.reduce((sum, x, k) => sum + matrix[e * draws + k]! * x, start));
  const model = cellModel(cell);
  const gaps = solveEquilibrium(model, errors, { order: "first", pressRatio }).rest.gap.subarray(
    0,
    model.readProbes,
  );
  return { gap: Math.max(0, ...gaps), press: Math.max(0, ...gaps.map((g) => -g)) };
}
