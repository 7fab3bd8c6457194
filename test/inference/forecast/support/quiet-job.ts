import { join } from "node:path";
import { loadJob } from "../../../../src/io/job/load-job.js";
import type { Job } from "../../../../src/model/job/job.js";

export const DEMO: Job = loadJob(join(import.meta.dirname, "../../../../data/alcove-screen"));

/** The demo job with no source of error but the named stops, at the demo's tolerance. */
export function quietJob(stops: readonly string[], change: Partial<Job> = {}): Job {
  return {
    ...DEMO,
    jigs: DEMO.jigs.map((jig) => ({ ...jig, priorSd: 0 })),
    setUps: DEMO.setUps.map((setUp) => ({
      ...setUp,
      stop: setUp.stop && { ...setUp.stop, priorSd: stops.includes(setUp.name) ? setUp.stop.priorSd : 0 },
    })),
    betweenCutSd: { angle: 0, length: 0, thickness: 0 },
    batchThickness: 0,
    grid: { offset: 0, turn: 0 },
    ...change,
  };
}
