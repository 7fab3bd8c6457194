import { simulateTrials } from "../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../src/inference/likelihood/specimen.js";
import { PANEL_SIDES } from "../../src/model/cell/cell.js";
import type { Job } from "../../src/model/job/job.js";
import type { Reading } from "../../src/model/readings.js";
import { demoJob } from "./demo.js";

const DEGREE = Math.PI / 180;

/** How far the ramp of the hinges' ends leans in truth, rad, + outward at the front. */
export const LEAN = 0.4 * DEGREE;

/** The demonstration job on strips 12 mm deep, where the ramp of the hinges' ends may lean. */
export const leaningJob: Job = {
  ...demoJob,
  depth: 12,
  jigs: demoJob.jigs.map((jig) =>
    jig.name === "bevel-22" ? { ...jig, lean: { priorMean: 0, priorSd: 0.5 * DEGREE, rolled: false } } : jig,
  ),
};

const sources = jobSources(leaningJob);
export const leanColumn = sources.findIndex(({ id }) => id.kind === "lean");
const truth = Float64Array.from(sources, (_, i) => (i === leanColumn ? LEAN : 0));

/** Bevels on the straightedge: each read at front and back, or at whichever is wider. */
export function leaningReadings(sides: boolean, trials = 4): Reading[] {
  const plan = Array.from({ length: trials }, (_, trial) =>
    (sides ? PANEL_SIDES.map((side) => ({ side })) : [{}]).map(
      (side, k): Reading => ({
        id: `t${trial}-${k}`,
        line: 0,
        trial: `t${trial}`,
        setUp: "hinge-mitre",
        round: null,
        bench: "straightedge",
        what: "gap",
        subject: "bevel.end-left|straightedge",
        at: "toe",
        ...side,
        value: null,
        low: 0,
        high: 1,
        instrument: "shim-strips",
        note: "",
      }),
    ),
  ).flat();
  return simulateTrials(leaningJob, plan, { truth, seed: 5 });
}

/** A reading of another trial, as that shop would take it. */
export const takenInTruth = (reading: Reading): Reading =>
  simulateTrials(leaningJob, [{ ...reading, id: "settles", trial: "settles" }], { truth, seed: 11 })[0]!;
