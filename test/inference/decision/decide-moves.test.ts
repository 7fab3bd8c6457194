import { describe, expect, it } from "vitest";
import { normalCdf, normalPdf } from "../../../src/core/numeric/normal.js";
import { adjustersOf, NO_MOVE, type Setting } from "../../../src/inference/decision/adjusters.js";
import { decideMoves, expectedValueOfInformation } from "../../../src/inference/decision/decide-moves.js";
import { cellLosses, drawCells } from "../../../src/inference/decision/drawn-cells.js";
import { fitSources, type SourceFit } from "../../../src/inference/estimates/fit-sources.js";
import { cellSpecimen, errorsFrom } from "../../../src/inference/likelihood/specimen.js";
import type { Job } from "../../../src/model/job/job.js";
import { sameSource } from "../../../src/model/source-id.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { ANGLE_VARIANCE, angleJob, angleReading, DEGREE, LABEL, PRIOR_SD, RAMP } from "../angle-readings.js";

describe("the loss of a cell, in scrapped pieces over the batch", () => {
  const job = {
    limits: { gap: 0.1, snug: 0.02 },
    lengths: "as-cut",
    costs: { openCell: 1, tightCell: 0.2, gap: 0.1, adjusting: 0.5, trial: 1, cells: 20 },
  } as const;
  const lossOf = (gap: number, press: number): number => {
    const outcome = { widestGap: Float64Array.of(gap), deepestPress: Float64Array.of(press) };
    return cellLosses(outcome, job)[0]!;
  };

  it("counts a gap by its width, an open cell once more, a tight one by its press", () => {
    expect(lossOf(0, 0)).toBe(0);
    expect(lossOf(0.05, 0)).toBeCloseTo(20 * 0.1 * 0.5, 12);
    expect(lossOf(0.15, 0)).toBeCloseTo(20 * (1 + 0.1 * 1.5), 12);
    expect(lossOf(0.05, 0.03)).toBeCloseTo(20 * (0.1 * 0.5 + 0.2 * 1.5), 12);
  });

  it("counts no more than three gap limits and five snug limits", () => {
    expect(lossOf(5, 0)).toBeCloseTo(20 * (1 + 0.1 * 3), 12);
    expect(lossOf(0, 5)).toBeCloseTo(20 * 0.2 * 5, 12);
  });
});

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
    return { ...source, ...at, current: at };
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
    const { widestGap, deepestPress } = predictCell(specimen.cell, errors, {
      order: "first",
      pressRatio: perfect.pressRatio,
    });
    return cellLosses(
      { widestGap: Float64Array.of(widestGap), deepestPress: Float64Array.of(deepestPress) },
      perfect,
    )[0]!;
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

  it("is to leave alone where adjusting costs more than the move saves", () => {
    const { gain } = decide(0);
    expect(decide(gain * 0.8).verdict).toBe("adjust");
    const dear = decide(gain * 1.2);
    expect(dear.verdict).toBe("leave alone");
    expect(dear.setting).toEqual(NO_MOVE);
  });

  it("is never to measure first: there is nothing left to learn", () => {
    expect(decide(0).valueOfInformation).toBeLessThan(1e-6);
  });
});

describe("the value of one more trial", () => {
  // One angle was read on one cut; the next trial is like it.
  const fit = fitSources(angleJob, [angleReading("t", LABEL + 0.2 * DEGREE)], {
    estimateBetweenCutSds: false,
  });
  const source = fit.sources.findIndex(({ id }) => sameSource(id, RAMP));
  const { estimate, standardUncertainty: u } = fit.sources[source]!;
  const specimen = cellSpecimen(angleJob);
  const forecast = drawCells(angleJob, specimen, { ...fit, sample: fit.sample, draws: 1000, seed: 1 });
  const other: Setting = { change: -estimate, leaves: [], steps: 0 };
  const adjuster = adjustersOf(angleJob, fit.sources).find((one) => one.source === source)!;
  const problem = (offset: number, slope: number) => ({
    ...{ forecast, fit, choice: [NO_MOVE] },
    adjusters: [{ ...adjuster, settings: [NO_MOVE, other] }],
    lossesOf: ([setting]: readonly Setting[]) =>
      Float64Array.from({ length: forecast.draws }, (_, d) => {
        const z = (forecast.sources[d * forecast.columns + source]! - estimate) / u;
        return setting!.change === 0 ? 0 : offset + slope * z;
      }),
  });

  // A move whose loss is a + b·z more than that of staying, z standard normal. After a trial that takes the share r of the variance away the posterior mean of z is
  // normal with variance r, and the expected saving is s·φ(a/s) − a·Φ(−a/s) with s = b·√r: the unit normal loss (H. Raiffa and R. Schlaifer, 1961).
  const share = 1 / ANGLE_VARIANCE / (1 / u ** 2 + 1 / ANGLE_VARIANCE);
  const closedForm = (a: number, b: number): number => {
    const s = b * Math.sqrt(share);
    return s * normalPdf(a / s) - a * normalCdf(-a / s);
  };

  it("takes away the share of the variance that one more such reading would", () => {
    expect(1 / u ** 2).toBeCloseTo(1 / PRIOR_SD ** 2 + 1 / ANGLE_VARIANCE, 3);
  });

  for (const [offset, slope] of [
    [0, 2],
    [1, 2],
    [3, 2],
  ] as const)
    it(`is the unit normal loss of a move that costs ${offset} ± ${slope}`, () => {
      const found = expectedValueOfInformation(problem(offset, slope), 0);
      const wanted = closedForm(offset, slope);
      // Of a thousand draws: the mean of max(0, …) is good to about s/√1000 ÷ 2; four of them.
      expect(Math.abs(found - wanted)).toBeLessThan((2 * slope * Math.sqrt(share)) / Math.sqrt(1000));
    });

  it("is nothing where no outcome of the trial would change the move", () => {
    expect(expectedValueOfInformation(problem(20, 2), 0)).toBe(0);
    expect(expectedValueOfInformation(problem(3, 0), 0)).toBe(0);
  });
});
