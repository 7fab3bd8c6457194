import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { predictionText } from "../../src/features/predict/prediction-report.js";
import { fitSources } from "../../src/inference/estimates/fit-sources.js";
import { simulateTrials } from "../../src/inference/estimates/simulate-trials.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { loadTruth } from "../../src/io/records/load-truth.js";
import { loadTrialPlan, loadTrials } from "../../src/io/trials/load-trials.js";
import { trialsCsv } from "../../src/io/trials/trials-csv.js";
import { jobAsCut, jobCell } from "../../src/model/job/job-cell.js";
import { predictCell } from "../../src/physics/predict/predict-cell.js";
import { sourceText } from "../../src/render/source-text.js";

const FOLDER = resolve(import.meta.dirname, "../../data/leaning-ramp");
const job = loadJob(FOLDER);
const truth = loadTruth(`${FOLDER}/truth.yaml`, job);

describe("the invented job whose ramp leans", () => {
  it("has the trials that its truth makes of its plan", () => {
    const plan = loadTrialPlan(`${FOLDER}/plan.csv`, job);
    const made = simulateTrials(job, plan, { truth: truth.sources, seed: truth.seed });
    expect(readFileSync(`${FOLDER}/trials.csv`, "utf8")).toBe(trialsCsv(job, made));
  });

  it("finds its ramps, stops and leans again, and tells the leaning ramps from upright ones", () => {
    const { sources } = fitSources(job, loadTrials(FOLDER, job), { alsoWithoutPriors: false });
    for (const [i, { id, estimate, standardUncertainty }] of sources.entries())
      expect(Math.abs(estimate - truth.sources[i]!), sourceText(id)).toBeLessThan(3.5 * standardUncertainty);
    for (const name of ["lean of point-67", "lean of bevel-22"]) {
      const { estimate, standardUncertainty } = sources.find((source) => sourceText(source.id) === name)!;
      expect(Math.abs(estimate), name).toBeGreaterThan(5 * standardUncertainty);
    }
  });

  it("is predicted with the lean that it knows: mitres tight in front and open behind by 2·λ·d between them", () => {
    const cell = jobCell(job);
    const prediction = predictCell(cell, jobAsCut(job, cell), job);
    const mitre = prediction.probes.filter(
      ({ joint, at }) => joint === "hinge-1.end-right|hinge-2.end-left" && at === "toe",
    );
    expect(mitre.map(({ side }) => side)).toEqual(["front", "back"]);
    expect(mitre[0]!.gap).toBeLessThan(0);
    expect(mitre[1]!.gap - mitre[0]!.gap).toBeCloseTo((2 * 0.3 * Math.PI * 12) / 180, 3);
    // docs/model.md says so.
    expect(prediction.widestGap.toFixed(3)).toBe("0.104");
    const text = predictionText(job, cell, prediction);
    expect(text).toMatch(/joint +end +side +gap/);
    expect(text).toMatch(/hinge-1 mitre +toe +back +0\.104 mm +open/);
    expect(text.replace(/\s+/g, " ")).toContain("Strips 12.00 mm deep: each joint is read at the front");
  });
});
