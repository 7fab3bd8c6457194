import { describe, expect, it } from "vitest";
import { drawCells, noMoves, outcomesOf } from "../../src/inference/decision/drawn-cells.js";
import { fitSources } from "../../src/inference/estimates/fit-sources.js";
import { simulateTrials } from "../../src/inference/estimates/simulate-trials.js";
import {
  benchSpecimen,
  cellSpecimen,
  errorsFrom,
  jobSources,
} from "../../src/inference/likelihood/specimen.js";
import { posteriorMode, targetDensity } from "../../src/inference/posterior/posterior-mode.js";
import { PANEL_SIDES } from "../../src/model/cell/cell.js";
import { errorLayout } from "../../src/model/cell/cell-errors.js";
import type { Job } from "../../src/model/job/job.js";
import type { Reading } from "../../src/model/readings.js";
import { longIt } from "../tools/longer.js";
import { demoJob } from "./demo.js";

const DEGREE = Math.PI / 180;
const LEAN = 0.4 * DEGREE;

/** The demonstration job on strips 12 mm deep, where the ramp of the hinges' ends may lean. */
const leaning = (priorMean: number, priorSd: number): Job => ({
  ...demoJob,
  depth: 12,
  jigs: demoJob.jigs.map((jig) =>
    jig.name === "bevel-22" ? { ...jig, lean: { priorMean, priorSd, rolled: false } } : jig,
  ),
});
const job = leaning(0, 0.5 * DEGREE);
const sources = jobSources(job);
const column = sources.findIndex(({ id }) => id.kind === "lean");
const truth = Float64Array.from(sources, (_, i) => (i === column ? LEAN : 0));

/** Eight bevels on the straightedge, read with narrow strips at toe and heel: at both sides of the strip, or at whichever is wider. */
const plan = (sides: boolean): Reading[] =>
  Array.from({ length: 8 }, (_, trial) =>
    (["toe", "heel"] as const).flatMap((at) =>
      (sides ? PANEL_SIDES.map((side) => ({ side })) : [{}]).map(
        (side, k): Reading => ({
          id: `t${trial}-${at}-${k}`,
          line: 0,
          trial: `t${trial}`,
          setUp: "hinge-mitre",
          round: null,
          bench: "straightedge",
          what: "gap",
          subject: "bevel.end-left|straightedge",
          at,
          ...side,
          value: null,
          low: 0,
          high: 1,
          instrument: "shim-strips",
          note: "",
        }),
      ),
    ),
  ).flat();

describe("the lean of a ramp from trial cuts", () => {
  it("is a source like any other, after the lasting ones", () => {
    expect(sources[column]!.id).toEqual({ kind: "lean", of: "bevel-22" });
    expect(sources.slice(0, column)).toEqual(jobSources(demoJob));
    const bench = benchSpecimen(job, "straightedge", "hinge-mitre");
    const at = errorLayout(bench.cell).indexOf("lean", "bevel", "end-left");
    expect(errorsFrom(bench, truth)[at]).toBe(LEAN);
    expect(bench.betweenCutSd[at]).toBe(0);
  });

  it("is found with its sign when both sides are read", () => {
    const readings = simulateTrials(job, plan(true), { truth, seed: 5 });
    const { estimate, standardUncertainty, fromData } = fitSources(job, readings).sources[column]!;
    expect(fromData).toBe(true);
    expect(standardUncertainty).toBeLessThan(0.05 * DEGREE);
    expect(Math.abs(estimate - LEAN)).toBeLessThan(3.5 * standardUncertainty);
  });

  longIt("is found without its sign when only the wider side is read: either sign fits as well", () => {
    const readings = simulateTrials(job, plan(false), { truth, seed: 5 });
    const problem = targetDensity(job, sources, readings);
    const { mode, sources: found } = fitSources(job, readings, { estimateBetweenCutSds: false });
    const best = mode();
    expect(Math.abs(Math.abs(best.estimates[column]!) - LEAN)).toBeLessThan(0.1 * DEGREE);
    const other = posteriorMode(problem, best.estimates.with(column, -best.estimates[column]!));
    expect(other.estimates[column]! * best.estimates[column]!).toBeLessThan(0);
    expect(Math.abs(other.minimum.terms.value - best.minimum.terms.value)).toBeLessThan(0.01);
    const { interval } = found[column]!;
    expect(interval[0]).toBeLessThan(-LEAN);
    expect(interval[1]).toBeGreaterThan(LEAN);
  });
});

describe("a lean that is known", () => {
  it("is part of every cell and trial piece, and no source", () => {
    const known = leaning(LEAN, 0);
    expect(jobSources(known)).toEqual(jobSources(demoJob));
    const { cell, known: errors } = cellSpecimen(known);
    const { entries } = errorLayout(cell);
    for (const [e, { kind, owner, face }] of entries.entries()) {
      const ofJig = kind === "lean" && owner.startsWith("hinge") && face!.startsWith("end");
      expect(errors[e], `${owner} ${face} ${kind}`).toBe(ofJig ? LEAN : 0);
    }
  });

  it("opens the cells to come as much as one that was found exactly", () => {
    const outcome = (one: Job, estimates: Float64Array) => {
      const covariance = new Float64Array(estimates.length ** 2);
      const forecast = drawCells(one, cellSpecimen(one), { estimates, covariance, draws: 200, seed: 3 });
      return outcomesOf(forecast, noMoves(estimates.length)).widestGap;
    };
    const known = leaning(LEAN, 0);
    const [asKnown, asFound] = [outcome(known, new Float64Array(sources.length - 1)), outcome(job, truth)];
    expect(Math.max(...asKnown)).toBeGreaterThan(0.05);
    for (const [i, gap] of asKnown.entries()) expect(gap).toBeCloseTo(asFound[i]!, 12);
  });
});
