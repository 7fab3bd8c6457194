import { beforeAll, describe, expect, it } from "vitest";
import { goNoGoSizes } from "../../src/features/batch/go-no-go.js";
import { forecastOf } from "../../src/inference/calibration-forecast.js";
import { type Advice, decideMoves } from "../../src/inference/decision/decide-moves.js";
import {
  cellLosses,
  type DrawnCells,
  drawCells,
  errorsOfDraw,
  type Moves,
  meanOf,
  noMoves,
  outcomesOf,
} from "../../src/inference/decision/drawn-cells.js";
import { fitSources, type SourceFit } from "../../src/inference/estimates/fit-sources.js";
import { cellSpecimen, jobSources } from "../../src/inference/likelihood/specimen.js";
import type { Job } from "../../src/model/job/job.js";
import { fitLengths } from "../../src/physics/fitting/fit-lengths.js";
import { cellModel } from "../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../src/physics/predict/equilibrium.js";
import { sourceText } from "../../src/render/source-text.js";
import { demoJob, demoReadings } from "./demo.js";

const FITTED: Job = { ...demoJob, lengths: "fitted" };

/** Cells to come of a job whose sources are known: `errors` by name, mm or rad, 0 for the others. */
function knownCells(job: Job, errors: Record<string, number>, draws: number): DrawnCells {
  const sources = jobSources(job);
  const estimates = Float64Array.from(sources, ({ id }) => errors[sourceText(id)] ?? 0);
  const covariance = new Float64Array(sources.length ** 2);
  return drawCells(job, cellSpecimen(job), { estimates, covariance, draws, seed: 5 });
}

const lossOf = (job: Job, errors: Record<string, number>): number => {
  const forecast = knownCells(job, errors, 200);
  return meanOf(cellLosses(forecast, noMoves(forecast.columns)));
};

describe("the cells to come of a job that fits its pieces by trial", () => {
  it("are those of the readable fit, from pieces as the stops have cut them", () => {
    const forecast = knownCells(FITTED, { "stop of diagonal-end": 0.2, "stop of key-end": -0.2 }, 30);
    const still = noMoves(forecast.columns);
    const { widestGap, deepestPress } = outcomesOf(forecast, still);
    const model = cellModel(forecast.specimen.cell);
    const { snug } = FITTED.limits;
    for (let d = 0; d < forecast.draws; d++) {
      const cut = errorsOfDraw(forecast, still, d);
      const { errors, groups } = fitLengths(model, cut, { snug, startsLong: false, order: "first" });
      const { gap } = solveEquilibrium(model, errors, { order: "first" }).rest;
      expect(widestGap[d]).toBeCloseTo(Math.max(0, ...gap), 8);
      expect(deepestPress[d]).toBeCloseTo(Math.max(0, ...gap.map((g) => -g)), 8);
      expect([groups[0]!.status, groups[3]!.status]).toEqual(["fitted", "too short"]);
    }
  });

  it("are judged by their gaps alone", () => {
    const forecast = knownCells(FITTED, { "stop of diagonal-end": 0.3 }, 60);
    const { closes, widestGap, deepestPress } = forecastOf(forecast, noMoves(forecast.columns));
    // Most cells are pressed further by the pieces that follow, and close all the same.
    expect(deepestPress.filter((press) => press > FITTED.limits.snug).length).toBeGreaterThan(30);
    expect(closes).toBe(widestGap.filter((gap) => gap <= FITTED.limits.gap).length / 60);
    expect(closes).toBeGreaterThan(0.5);
  });

  it("lose nothing by pieces that are too long, and scrap those that are too short to close", () => {
    const [long, longer, short] = [0.2, 0.4, -0.4].map((by) =>
      lossOf(FITTED, { "stop of diagonal-end": by }),
    );
    expect(longer).toBeCloseTo(long!, 6);
    // Every cell has a gap of (0.4 / 2)·cos 45° = 0.14 mm, shared by the four corner joints or not: a scrapped piece in each.
    expect(short! - long!).toBeGreaterThan(FITTED.costs.cells * FITTED.costs.openCell * 0.9);
    // As cut, too long is a loss as well.
    expect(lossOf(demoJob, { "stop of diagonal-end": 0.4 })).toBeGreaterThan(
      lossOf(demoJob, { "stop of diagonal-end": 0.2 }) + 1,
    );
  });
});

describe("moves for pieces fitted by trial", () => {
  let fit: SourceFit;
  let asCut: readonly Advice[];
  let fitted: readonly Advice[];
  let moves: Moves;
  beforeAll(() => {
    fit = fitSources(demoJob, demoReadings);
    const options = { seed: 3, draws: 400 };
    asCut = decideMoves(demoJob, fit, cellSpecimen(demoJob), options).advice;
    ({ advice: fitted, moves } = decideMoves(FITTED, fit, cellSpecimen(FITTED), options));
  }, 60_000);
  const changeOf = (advice: readonly Advice[], name: string): number =>
    advice.find(({ adjuster }) => adjuster.name === name)!.setting.change;

  it("never shorten a stop that is long: what is too long comes off", () => {
    expect(changeOf(asCut, "diagonal-end")).toBeLessThan(0);
    expect(changeOf(fitted, "diagonal-end")).toBeGreaterThanOrEqual(0);
  });

  it("lengthen one that is short, beyond right: that leaves something to take off", () => {
    const { estimate } = fit.sources.find(({ id }) => sourceText(id) === "stop of key-end")!;
    expect(estimate).toBeLessThan(-0.1);
    expect(changeOf(fitted, "key-end")).toBeGreaterThan(-estimate);
  });

  it("rest on the same fit: readings are of pieces as cut", () => {
    const again = fitSources(FITTED, demoReadings);
    expect([...again.estimates]).toEqual([...fit.estimates]);
  });

  it("leave cells that close, and exact order agrees", () => {
    const specimen = cellSpecimen(FITTED);
    const { estimates, covariance } = fit;
    const forecast = drawCells(FITTED, specimen, { estimates, covariance, draws: 60, seed: 8 });
    const [before, after] = [noMoves(forecast.columns), moves].map((made) => forecastOf(forecast, made));
    expect(after!.closes).toBeGreaterThanOrEqual(before!.closes);
    expect(after!.gap.median).toBeLessThan(before!.gap.median);
    expect(after!.orderDifference.largest).toBeLessThan(0.02);
  }, 60_000);
});

it("go and no-go sizes are of pieces that nobody trims", () => {
  const options = { draws: 50 };
  expect(goNoGoSizes(FITTED, options)).toEqual(goNoGoSizes(demoJob, options));
});
