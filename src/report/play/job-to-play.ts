import type { Jig, Job, SetUp } from "../../job/job.js";
import { JOB_DEFAULTS } from "../../job/job.js";
import { jobArrangement } from "../../job/job-cell.js";
import { ASANOHA_ANGLES, asanohaSquare } from "../../lattice/asanoha-square.js";
import type { PlayJob } from "../../play/play-job.js";
import { PRESS_RATIO } from "../../seating/seating-model.js";

/** What the page to play with needs of a job; where the job names no jigs, and where there is none, three common ones. */
export function jobToPlay(job?: Job): PlayJob {
  if (!job) return STARTER;
  const { title, units, opening, strip, pressRatio, jigs, setUps, limits } = job;
  const own = { title, units, opening, strip, arrangement: jobArrangement(job), pressRatio, limits };
  return jigs.length === 0 ? { ...STARTER, ...own } : { ...own, jigs, setUps };
}

const jig = (name: string, ramp: number): Jig => ({
  ...{ name, ramp, fence: "centred", trustedTo: JOB_DEFAULTS.rampTrustedTo, shims: null },
});
const setUp = (name: string, by: string, cuts: string, stopped: boolean): SetUp => ({
  ...{ name, jig: by, cuts: [cuts] },
  stop: stopped ? { trustedTo: JOB_DEFAULTS.stopTrustedTo, step: null } : null,
});

/** A cell for someone without a job: 60 mm opening, 3 mm strips, three jigs. */
const STARTER: PlayJob = {
  ...{
    title: "",
    units: "mm",
    opening: 60,
    strip: 3,
    arrangement: asanohaSquare({ opening: 60, strip: 3 }),
    pressRatio: PRESS_RATIO,
  },
  jigs: [
    jig("point-45", ASANOHA_ANGLES.point45),
    jig("point-67", ASANOHA_ANGLES.point67),
    jig("bevel-22", ASANOHA_ANGLES.bevel22),
  ],
  setUps: [
    setUp("diagonal-start", "point-45", "diagonal.start", false),
    setUp("diagonal-end", "point-45", "diagonal.end", true),
    setUp("hinge-point", "point-67", "hinge.point", false),
    setUp("hinge-mitre", "bevel-22", "hinge.mitre", true),
    setUp("hinge-seat", "bevel-22", "hinge.seat", true),
    setUp("key-start", "point-45", "key.start", false),
    setUp("key-end", "point-45", "key.end", true),
  ],
  limits: { gap: JOB_DEFAULTS.gapLimit, snug: JOB_DEFAULTS.snugLimit },
};
