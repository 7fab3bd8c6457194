import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { newJob } from "../../../../src/features/new/new-job.js";
import { type Calibration, calibrateJob } from "../../../../src/inference/calibrate-job.js";
import { loadJob } from "../../../../src/io/job/load-job.js";
import { loadTrials } from "../../../../src/io/trials/load-trials.js";
import type { Job } from "../../../../src/model/job/job.js";
import { inFolder } from "../../../io/in-folder.js";

const HEADING = "id,trial,set-up,bench,joint,what,at,value,low,high,unit,instrument,note";

/** A starter job, its text changed before it is loaded. */
export function sampleJob(units: "mm" | "in", change = (text: string) => text): Job {
  const folder = inFolder({});
  const [file] = newJob(join(folder, "started"), units);
  const job = join(folder, "job.yaml");
  writeFileSync(job, change(readFileSync(file!, "utf8")));
  return loadJob(job);
}

/** A calibration from readings in the hand alone, which fit quickly: the 45° ramp blunt, the diagonal long, the hinge's point sharp. */
export function sampleCalibration(job: Job): Calibration {
  const long = job.units === "mm" ? "85.05" : "3.366";
  const table = `${HEADING}
r1,d1,diagonal-end,none,end-left,angle,,44.2,,,deg,angle-gauge,
r2,d1,diagonal-end,none,end-right,angle,,44.3,,,deg,angle-gauge,
r3,d1,diagonal-end,none,diagonal,length,,${long},,,${job.units},caliper,
r4,h1,hinge-point,none,start-left,angle,,68.3,,,deg,angle-gauge,
r5,h1,hinge-point,none,start-right,angle,,68.4,,,deg,angle-gauge,
`;
  return calibrateJob(job, loadTrials(join(inFolder({ "trials.csv": table }), "trials.csv"), job), {
    draws: 200,
  });
}
