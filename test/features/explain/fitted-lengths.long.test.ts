import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { cellsRead, hypothesisOf, singleCauses } from "../../../src/features/explain/causes.js";
import { cellSeater, logLikelihood } from "../../../src/features/explain/seat-cells.js";
import { Weighing } from "../../../src/features/explain/weigh-hypothesis.js";
import { JobCells } from "../../../src/inference/likelihood/read-specimen.js";
import type { Job } from "../../../src/model/job/job.js";
import { fitLengths } from "../../../src/physics/fitting/fit-lengths.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { sourceText } from "../../../src/render/source-text.js";
import { ORDINARY, randomErrors } from "../../checks/validate/cells.js";
import { cellWith, job, specimen } from "./invented-cell.js";

const FITTED: Job = { ...job, lengths: "fitted" };
const { cell, reader } = specimen;
const model = cellModel(cell);

describe("causes weighed on cells fitted by trial", () => {
  const stream = createStream(3);
  const cut = Array.from({ length: 6 }, () => randomErrors(cell, stream, ORDINARY));

  it("see the gaps of the readable fit", () => {
    const seater = cellSeater(reader, FITTED);
    const gaps = seater.seat(cut);
    for (const [k, errors] of cut.entries()) {
      const { order, pressRatio, limits } = FITTED;
      const options = { order, pressRatio, snug: limits.snug, startsLong: false };
      const { rest } = solveEquilibrium(model, fitLengths(model, errors, options).errors, options);
      for (let i = 0; i < seater.probes; i++)
        expect(gaps[k * seater.probes + i]).toBeCloseTo(rest.gap[i]!, 8);
    }
  });

  it("are not those of cells as cut, which the same cell keeps a seater for", () => {
    const [fitted, asCut] = [FITTED, job].map((one) => cellSeater(reader, one).seat(cut));
    expect(Math.max(...fitted!.map((gap, i) => Math.abs(gap - asCut![i]!)))).toBeGreaterThan(0.01);
    const { gap } = solveEquilibrium(model, cut[0]!, { order: job.order, pressRatio: job.pressRatio }).rest;
    expect(asCut![0]).toBeCloseTo(gap[0]!, 9);
  });

  it.each([
    ["ramp of point-67", -1.4],
    ["stop of diagonal-end", -0.6],
  ])("have the evidence that brute force finds: the %s", (source, deviations) => {
    const cause = singleCauses(FITTED, specimen).find(({ id }) => sourceText(id) === source)!;
    const cells = cellsRead(FITTED, new JobCells(), cellWith(source, deviations, { seed: 3 }));
    const hypothesis = hypothesisOf(FITTED, [cause], cells);
    const seater = cellSeater(reader, FITTED);
    const drawn = createStream(99);
    const errors = Array.from({ length: 8000 }, () => {
      const out = new Float64Array(specimen.betweenCutSd.length);
      hypothesis.errorsOf(0, drawn.fill(new Float64Array(hypothesis.unknowns)), out);
      return out;
    });
    const gaps = seater.seat(errors);
    const likelihoods = errors.map((_, i) => Math.exp(logLikelihood(cells[0]!, gaps, i * seater.probes)));
    const mean = likelihoods.reduce((a, b) => a + b, 0) / errors.length;
    const error = Math.sqrt(likelihoods.reduce((sum, l) => sum + (l - mean) ** 2, 0)) / errors.length / mean;
    const weighing = new Weighing({ job: FITTED, cells, hypothesis }, seater, 1, 0);
    weighing.add(2000);
    const { logEvidence, standardError } = weighing.result();
    expect(error).toBeLessThan(0.25);
    expect(Math.abs(logEvidence - Math.log(mean))).toBeLessThan(4 * Math.hypot(error, standardError));
  });
});
