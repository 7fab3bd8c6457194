import type { Jig, Job, SetUp } from "../../job/job.js";
import { JOB_DEFAULTS } from "../../job/job.js";
import { jobArrangement } from "../../job/job-cell.js";
import { patternShop } from "../../job/starter/pattern-shop.js";
import type { Arrangement } from "../../lattice/arrangement.js";
import { asanohaSquare } from "../../lattice/asanoha-square.js";
import type { PlayJob } from "../../play/play-job.js";
import { PRESS_RATIO } from "../../seating/seating-model.js";

/** What the page to play with needs of a job; where the job names no jigs, and where there is none, three common ones. */
export function jobToPlay(job?: Job): PlayJob {
  if (!job) return STARTER;
  const { title, units, opening, strip, depth, pressRatio, jigs, setUps, limits } = job;
  const flat = jobArrangement(job);
  const arrangement = depth === undefined ? flat : { ...flat, depth };
  const own = { title, units, opening, strip, arrangement, pressRatio, limits };
  return jigs.length === 0 ? { ...own, ...shopFor(own.arrangement) } : { ...own, jigs, setUps };
}

/** The jigs and set-ups that a pattern needs, as trusted as any. */
function shopFor(arrangement: Arrangement): Pick<PlayJob, "jigs" | "setUps"> {
  const { jigs, setUps } = patternShop(arrangement);
  return {
    jigs: jigs.map(
      ({ name, angle }): Jig => ({
        ...{ name, ramp: angle, fence: "centred", trustedTo: JOB_DEFAULTS.rampTrustedTo, shims: null },
      }),
    ),
    setUps: setUps.map(
      ({ name, jig, group, stopped }): SetUp => ({
        ...{ name, jig, cuts: [group] },
        stop: stopped ? { trustedTo: JOB_DEFAULTS.stopTrustedTo, step: null } : null,
      }),
    ),
  };
}

const CELL = { ...asanohaSquare({ opening: 60, strip: 3 }), depth: 12 };

/** A cell for someone without a job: 60 mm opening, strips 3 mm thick and 12 mm deep, three jigs. */
const STARTER: PlayJob = {
  ...{ title: "", units: "mm", opening: 60, strip: 3, arrangement: CELL, pressRatio: PRESS_RATIO },
  ...shopFor(CELL),
  limits: { gap: JOB_DEFAULTS.gapLimit, snug: JOB_DEFAULTS.snugLimit },
};
