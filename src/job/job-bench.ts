import type { SetUp } from "../cutting/shop.js";
import type { Arrangement } from "../lattice/arrangement.js";
import { type BenchName, benchNamed } from "../lattice/bench-named.js";
import { mitreShare } from "../lattice/mitre-share.js";
import type { Job } from "./job.js";
import { atJobDepth } from "./leaning-depth.js";

/**
 * The bench of that name for a trial piece cut at a set-up of the job.
 *
 * @throws LatticeError when it does not suit the set-up's jig.
 */
export function jobBench(job: Job, name: BenchName, { jig, cuts }: Pick<SetUp, "jig" | "cuts">): Arrangement {
  const jigAngle = job.jigs.find((one) => one.name === jig)!.ramp;
  const seatShare = mitreShare(job.arrangement, cuts);
  const bench = benchNamed(name, {
    ...{ strip: job.strip, jigAngle },
    ...(seatShare === undefined ? {} : { seatShare }),
  });
  return atJobDepth(bench, job);
}
