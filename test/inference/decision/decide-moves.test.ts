import { describe, expect, it } from "vitest";
import { adjustersOf, NO_MOVE } from "../../../src/inference/decision/adjusters.js";
import { lossesOfGaps, pieceProbes } from "../../../src/inference/decision/cell-loss.js";
import { decideMoves } from "../../../src/inference/decision/decide-moves.js";
import { fitSources, type SourceFit } from "../../../src/inference/estimates/fit-sources.js";
import { cellSpecimen, errorsFrom } from "../../../src/inference/likelihood/specimen.js";
import type { Job } from "../../../src/model/job/job.js";
import { sameSource } from "../../../src/model/source-id.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { angleJob } from "../angle-readings.js";

/** A shop that repeats itself perfectly, with one stop free to move. */
const perfect: Job = {
  ...angleJob,
  betweenCutSd: { angle: 0, length: 0, thickness: 0 },
  grid: { offset: 0, turn: 0 },
  jigs: angleJob.jigs.map((jig) => ({ ...jig, shims: null })),
  setUps: angleJob.setUps.map((setUp) =>
    setUp.name === "diagonal-end" ? setUp : { ...setUp, stop: setUp.stop && { ...setUp.stop, step: null } },
  ),
};

/** The fit of a shop whose sources are known exactly: the diagonal's stop cuts too short, all else is right. */
function known(job: Job, error: number): { fit: SourceFit; column: number } {
  const fit = fitSources(job, []);
  const column = fit.sources.findIndex(({ id }) => sameSource(id, { kind: "stop", of: "diagonal-end" }));
  const estimates = new Float64Array(fit.sources.length).with(column, error);
  const sources = fit.sources.map((source, i) => {
    const at = { estimate: estimates[i]!, standardUncertainty: 1e-9 };
    return { ...source, ...at, current: at, fromData: true };
  });
  const exact = {
    sources,
    estimates,
    sample: estimates,
    covariance: new Float64Array(estimates.length ** 2),
  };
  return { fit: { ...fit, ...exact, effectiveSampleSize: 1000 }, column };
}

describe("the decision on one stop whose error is known", () => {
  const error = -0.2;
  const { fit, column } = known(perfect, error);
  const specimen = cellSpecimen(perfect);
  const [adjuster] = adjustersOf(perfect, fit.sources);

  /** Loss over the batch of the one cell that this shop makes, its gaps by the readable predictor. The re-setting of the stop is left out. */
  const lossAt = (change: number): number => {
    const errors = errorsFrom(specimen, new Float64Array(fit.sources.length).with(column, error + change));
    const { gap } = solveEquilibrium(cellModel(specimen.cell), errors, { order: "first" }).rest;
    return lossesOfGaps(pieceProbes(specimen.cell), () => Float64Array.from(gap), 1, perfect, [1])[0]![0]!;
  };
  const decide = (adjusting: number) => {
    const job: Job = { ...perfect, costs: { ...perfect.costs, adjusting } };
    const [advice, ...others] = decideMoves(job, fit, specimen, { seed: 1, draws: 200 }).advice;
    expect(others).toEqual([]);
    return advice!;
  };

  it("is to adjust by the setting that has the least loss of all, counted one by one", () => {
    const losses = adjuster!.settings.map(({ change }) => ({ change, loss: lossAt(change) }));
    const best = losses.reduce((a, b) => (b.loss < a.loss ? b : a));
    const advice = decide(perfect.costs.adjusting);
    expect(advice.verdict).toBe("adjust");
    // The stop's own re-setting error may make a neighbouring step as good.
    expect(Math.abs(advice.setting.change - best.change)).toBeLessThanOrEqual(0.05 + 1e-9);
    expect(advice.setting.change).toBeGreaterThan(0.1);
    expect(advice.wanted).toBe(-error);
    const saved = lossAt(0) - best.loss;
    expect(saved).toBeGreaterThan(1);
    expect(advice.gain).toBeLessThanOrEqual(saved + 1e-6);
    expect(advice.gain / saved).toBeGreaterThan(0.8);
  });

  it("is off, and left, where adjusting costs more than the move saves; with what leaving it costs, the gap and the cells from which it pays", () => {
    const { gain } = decide(0);
    expect(decide(gain * 0.8).verdict).toBe("adjust");
    const dear = decide(gain * 1.2);
    expect(dear.verdict).toBe("off, leave it");
    expect(dear.setting).toEqual(NO_MOVE);
    // What the move would save is told, not zero.
    expect(dear.gain).toBeCloseTo(gain, 6);
    expect(dear.considered.change).toBeCloseTo(-error, 1);
    expect(dear.paysFrom).toBe(Math.ceil(1.2 * perfect.costs.cells));
    // A diagonal whole length s short leaves (s/2)·cos 45° at each end's faces (closed form of docs/model.md).
    expect(dear.alone.kind).toBe("gap");
    expect(dear.alone.joint).toMatch(/^diagonal/);
    expect(dear.alone.size).toBeCloseTo((-error / 2) * Math.SQRT1_2, 3);
    expect(dear.alone.limit).toBe(perfect.limits.gap);
  });

  it("is nothing to read first: there is nothing left to learn", () => {
    expect(decide(0).valueOfInformation).toBeLessThan(1e-6);
    expect(decide(0).read).toBeNull();
  });

  it("orders no move while the fit does not hold, and keeps saying what it considered", () => {
    const decision = decideMoves(perfect, fit, specimen, { seed: 1, draws: 200, fits: false });
    expect(decision.hold).toEqual({ kind: "does not fit" });
    expect([...decision.moves.change].every((change) => change === 0)).toBe(true);
    expect(decision.advice[0]).toMatchObject({ verdict: "not known", setting: NO_MOVE });
    expect(decision.advice[0]!.considered.change).toBeGreaterThan(0.1);
    expect(decision.loss.after).toBe(decision.loss.before);
  });

  it("tells the advice at half and at twice the limits", () => {
    const job: Job = { ...perfect, costs: { ...perfect.costs, adjusting: decide(0).gain * 0.8 } };
    const { otherLimits } = decideMoves(job, fit, specimen, { seed: 1, draws: 200 });
    expect(otherLimits.map(({ scale }) => scale)).toEqual([0.5, 2]);
    const [half, twice] = otherLimits.map(({ settings }) => settings[0]!.change);
    expect(half).toBeGreaterThan(0.1);
    // At twice the limits the gap of 0.07 mm is half of what is allowed, and the move does not pay.
    expect(twice).toBe(0);
  });
});

it("no move is ordered where the readings do not tell which way a ramp is off", () => {
  const { fit } = known(perfect, -0.2);
  const side = (estimate: number) => ({ share: 0.5, estimate, standardUncertainty: 0.001 });
  const sources = fit.sources.map((source, i) =>
    i === 0 ? { ...source, sides: { above: side(0.01), below: side(-0.01) } } : source,
  );
  const decision = decideMoves(perfect, { ...fit, sources }, cellSpecimen(perfect), { seed: 1, draws: 200 });
  expect(decision.hold).toEqual({ kind: "unidentified sign", of: [sources[0]!.id] });
  expect([...decision.moves.change].every((change) => change === 0)).toBe(true);
});
