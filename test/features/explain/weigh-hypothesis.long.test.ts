import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { cellsRead, hypothesisOf, singleCauses } from "../../../src/features/explain/causes.js";
import { cellSeater, logLikelihood } from "../../../src/features/explain/seat-cells.js";
import { sizeFound, Weighing } from "../../../src/features/explain/weigh-hypothesis.js";
import { JobCells } from "../../../src/inference/likelihood/read-specimen.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { sourceText } from "../../../src/render/source-text.js";
import { cellWith, job, specimen } from "./invented-cell.js";

const causes = singleCauses(job, specimen);
const cells = new JobCells();
const seater = cellSeater(specimen.reader, job);

/** The marginal likelihood by plain Monte Carlo from the prior: slow and sure. */
function byBruteForce(k: number, readings: ReturnType<typeof cellWith>, draws: number) {
  const [cell] = cellsRead(job, cells, readings);
  const hypothesis = hypothesisOf(job, [causes[k]!], [cell!]);
  const stream = createStream(99);
  const errors = Array.from({ length: draws }, () => {
    const out = new Float64Array(specimen.betweenCutSd.length);
    hypothesis.errorsOf(0, stream.fill(new Float64Array(hypothesis.unknowns)), out);
    return out;
  });
  const gaps = seater.seat(errors);
  const likelihoods = errors.map((_, i) => Math.exp(logLikelihood(cell!, gaps, i * seater.probes)));
  const mean = likelihoods.reduce((a, b) => a + b, 0) / draws;
  const variance = likelihoods.reduce((sum, l) => sum + (l - mean) ** 2, 0) / draws ** 2;
  return { log: Math.log(mean), error: Math.sqrt(variance) / mean };
}

function weighed(k: number, readings: ReturnType<typeof cellWith>, draws: number) {
  const read = cellsRead(job, cells, readings);
  const hypothesis = hypothesisOf(job, [causes[k]!], read);
  const weighing = new Weighing({ job, cells: read, hypothesis }, seater, 1, k);
  weighing.add(draws);
  return weighing.result();
}

describe("the evidence of a hypothesis", () => {
  // Two routes, seeds apart: importance sampling about the mode, and plain Monte Carlo; width 4 joint standard errors.
  it.each([
    ["stop of hinge-mitre", -1],
    ["ramp of point-67", -1.4],
    ["stop of diagonal-end", -0.6],
  ])("agrees with brute force for a cell with the %s off", (source, deviations) => {
    const k = causes.findIndex(({ id }) => sourceText(id) === source);
    const readings = cellWith(source, deviations, { seed: 3 });
    const brute = byBruteForce(k, readings, 40_000);
    const { logEvidence, standardError } = weighed(k, readings, 3000);
    expect(brute.error).toBeLessThan(0.2);
    expect(Math.abs(logEvidence - brute.log)).toBeLessThan(4 * Math.hypot(brute.error, standardError));
  });

  it("is wrong by a factor when a reading is left out: the comparison above can fail", () => {
    const k = causes.findIndex(({ id }) => sourceText(id) === "stop of hinge-mitre");
    const readings = cellWith("stop of hinge-mitre", -1, { seed: 3 });
    const open = readings.findIndex(({ low }) => low! > 0);
    const brute = byBruteForce(k, readings, 40_000);
    const { logEvidence, standardError } = weighed(k, readings.toSpliced(open, 1), 3000);
    expect(Math.abs(logEvidence - brute.log)).toBeGreaterThan(4 * Math.hypot(brute.error, standardError));
  });
});

describe("seating many cells", () => {
  it("gives the gaps of the readable solver", () => {
    const stream = createStream(4);
    const errors = Array.from({ length: 300 }, () =>
      specimen.betweenCutSd.map((s) => 3 * s * stream.normal()),
    );
    const gaps = seater.seat(errors);
    for (const i of [0, 255, 256, 299]) {
      const { gap } = solveEquilibrium(cellModel(specimen.cell), errors[i]!, job).rest;
      for (let p = 0; p < seater.probes; p++) expect(gaps[i * seater.probes + p]).toBeCloseTo(gap[p]!, 9);
    }
  });
});

const draw = (size: number, weight: number) => ({
  sizes: Float64Array.of(size),
  logWeight: Math.log(weight),
  gaps: new Float64Array(),
});

describe("the size of a cause", () => {
  it("is the median of the likelier side, with its share", () => {
    const draws = [draw(-0.2, 1), draw(0.1, 1), draw(0.2, 2), draw(0.3, 1)];
    expect(sizeFound(draws, 0)).toEqual({ size: 0.2, interval: [-0.2, 0.3], thatSide: 0.8, other: null });
  });

  it("has another of the other sign where both are places of their own, and only there", () => {
    const normals = createStream(8).fill(new Float64Array(400));
    const from = (size: (z: number, d: number) => number) =>
      sizeFound(
        [...normals].map((z, d) => draw(size(z, d), 1)),
        0,
      );
    const both = from((z, d) => (d % 3 === 0 ? -1 : 1) * (0.5 + 0.05 * z));
    expect(Math.abs(both.size - 0.5)).toBeLessThan(0.02);
    expect(Math.abs(both.other! + 0.5)).toBeLessThan(0.02);
    expect(both.thatSide).toBeCloseTo(2 / 3, 2);
    expect(from((z) => z).other).toBeNull();
    expect(from((z) => 1.7 + z).other).toBeNull();
    // Ten draws that count say nothing of signs.
    const few = [...normals].map((z, d) =>
      draw((d % 2 === 0 ? -1 : 1) * (0.5 + 0.05 * z), d < 10 ? 1 : 1e-9),
    );
    expect(sizeFound(few, 0).other).toBeNull();
  });

  it("does not depend on the order of the draws or the scale of their weights", () => {
    const draws = [draw(0.3, 3e-200), draw(-0.1, 1e-200), draw(0.1, 2e-200)];
    const again = [...draws].reverse().map((d) => ({ ...d, logWeight: d.logWeight + 300 }));
    expect(sizeFound(again, 0)).toEqual(sizeFound(draws, 0));
  });
});
