import { mean, standardDeviation } from "simple-statistics";
import { describe, expect, it } from "vitest";
import { at } from "../../src/core/numeric/dense.js";
import { calibrateJob } from "../../src/inference/calibrate-job.js";
import { simulateTrials } from "../../src/inference/estimates/simulate-trials.js";
import { cellSpecimen, errorsFrom } from "../../src/inference/likelihood/specimen.js";
import type { Reading } from "../../src/model/readings.js";
import { predictCell } from "../../src/physics/predict/predict-cell.js";
import { sourceText } from "../../src/render/source-text.js";
import { longIt } from "../tools/longer.js";
import { demoJob, demoPlan, demoReadings, demoTruth } from "./demo.js";

describe("the demonstration job", () => {
  const calibration = calibrateJob(demoJob, demoReadings);
  const { fit, decision, before, after, verdict } = calibration;

  longIt(
    "has readings that its simulator could have made of its truth and plan; it made them once, with another stream of random numbers",
    () => {
      const sets = Array.from({ length: 30 }, (_, k) =>
        simulateTrials(demoJob, demoPlan, { truth: demoTruth.sources, seed: demoTruth.seed + k }),
      );
      const place = ({ low, high, value }: Reading): number =>
        value ?? (Math.max(low ?? 0, 0) + (high ?? 0)) / 2;
      const squares = demoReadings.map((reading, i) => {
        const others = sets.map((set) => place(at(set, i)));
        expect(at(at(sets, 0), i)).toMatchObject({ id: reading.id, what: reading.what });
        // Half a step of the gauge, or half a leaf, at the least: many readings are the same in every set.
        const spread = Math.max(standardDeviation(others), reading.what === "angle" ? 1e-3 : 0.005);
        return ((place(reading) - mean(others)) / spread) ** 2;
      });
      expect(Math.max(...squares)).toBeLessThan(4 ** 2);
      expect(mean(squares)).toBeLessThan(1.5);
      expect(mean(squares)).toBeGreaterThan(0.4);
    },
  );

  it("has at least thirty readings of every kind", () => {
    expect(demoReadings.length).toBeGreaterThanOrEqual(30);
    expect(new Set(demoReadings.map(({ what }) => what)).size).toBe(4);
    expect(demoReadings.some(({ low }) => low === Number.NEGATIVE_INFINITY)).toBe(true);
  });

  it("gives intervals that hold the true errors, and are worth having", () => {
    expect(fit.mode().minimum.converged).toBe(true);
    for (const [i, { id, interval, priorSd }] of fit.sources.entries()) {
      const name = sourceText(id);
      const truth = demoTruth.sources[i]!;
      expect(interval[0], name).toBeLessThan(truth);
      expect(interval[1], name).toBeGreaterThan(truth);
      expect(interval[1] - interval[0], name).toBeLessThan(2 * priorSd);
    }
    expect(verdict.verdict).toBe("fits");
  });

  it("recommends moves that reduce the true widest gap and press", () => {
    const specimen = cellSpecimen(demoJob);
    const worst = (change: (c: number) => number) =>
      predictCell(
        specimen.cell,
        errorsFrom(
          specimen,
          demoTruth.sources.map((e, c) => e + change(c)),
        ),
      );
    const asItIs = worst(() => 0);
    const moved = worst((c) => decision.moves.change[c]!);
    expect(decision.advice.some(({ verdict: advice }) => advice === "adjust")).toBe(true);
    expect(moved.widestGap).toBeLessThan(asItIs.widestGap);
    expect(moved.deepestPress).toBeLessThan(asItIs.deepestPress);
    expect(after.closes).toBeGreaterThan(
      before.closes + 5 * (before.closesUncertainty + after.closesUncertainty),
    );
  });

  it("only moves what can be moved, by what is at hand", () => {
    for (const { adjuster, setting } of decision.advice) {
      expect(adjuster.settings).toContain(setting);
      if (adjuster.kind === "shim") {
        const { base } = demoJob.jigs.find(({ name }) => name === adjuster.name)!.shims!;
        const thickness = setting.leaves.reduce((sum, leaf) => sum + leaf, 0);
        expect(Math.abs(setting.change)).toBeCloseTo(Math.atan(thickness / base), 12);
      }
    }
  });

  longIt("gives the same answer twice", () => {
    const again = calibrateJob(demoJob, demoReadings);
    expect([...again.fit.estimates]).toEqual([...fit.estimates]);
    expect([...again.after.widestGap]).toEqual([...after.widestGap]);
  });
});
