import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { newJob } from "../../../src/features/new/new-job.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrialPlan } from "../../../src/io/trials/load-trials.js";
import { trialsCsv } from "../../../src/io/trials/trials-csv.js";
import { inFolder } from "../../io/in-folder.js";

/** Trial pieces of a starter job, as a table that is not filled in yet. */
const PLAN = `id,trial,set-up,bench,joint,what,at,value,low,high,unit,instrument,note
p01,d1,diagonal-start,none,start-left,angle,,,,,deg,angle-gauge,
p02,d1,diagonal-start,corner-90,point.start-left|reference-left,gap,widest,,,,in,feeler,
p03,h1,hinge-point,none,start-left,angle,,,,,deg,angle-gauge,
p04,h1,hinge-point,corner-45,point.start-left|reference-left,gap,widest,,,,in,feeler,
p05,b1,hinge-mitre,none,end-right,angle,,,,,deg,angle-gauge,
p06,c1,,none,diagonal,length,,,,,in,caliper,
p07,c1,,none,hinge-1,length,,,,,in,caliper,
p08,c1,,none,key-1,length,,,,,in,caliper,
p09,c1,,none,diagonal,thickness,,,,,in,caliper,
p10,c1,,cell,hinge-3.start-right|wall-bottom,gap,widest,,,,in,feeler,
p11,c1,,cell,key-1.end-right|hinge-1.end-left,gap,widest,,,,in,feeler,
`;

/** Errors of the invented shop: radians and mm. */
const ERRORS: Readonly<Record<string, number>> = {
  "ramp point-67": -0.012,
  "stop diagonal-end": 0.15,
  "stop key-end": -0.2,
};

/** A starter job in inches with the sections for a whole screen, what its trial pieces read, a batch and repeated readings; invented. */
export function inchShop(): string {
  const folder = join(inFolder({}), "screen");
  newJob(folder, "in");
  const file = join(folder, "job.yaml");
  writeFileSync(file, readFileSync(file, "utf8").replace(/^# (panel|stock|season|tolerances):/gm, "$1:"));
  const job = loadJob(folder);
  writeFileSync(join(folder, "plan.csv"), PLAN);
  writeFileSync(
    join(folder, "truth.yaml"),
    "seed: 3\nramps: { point-67: -0.7 deg }\nstops: { diagonal-end: 6 thou, key-end: -8 thou }\n",
  );
  const truth = Float64Array.from(jobSources(job), ({ id }) =>
    "of" in id ? (ERRORS[`${id.kind} ${id.of}`] ?? 0) : 0,
  );
  const readings = simulateTrials(job, loadTrialPlan(join(folder, "plan.csv"), job), { truth, seed: 3 });
  writeFileSync(join(folder, "trials.csv"), trialsCsv(job, readings));
  const lengths = Array.from({ length: 20 }, (_, i) => (0.968 + 0.0001 * i + (i % 2) * 0.0004).toFixed(4));
  writeFileSync(
    join(folder, "batch.csv"),
    `piece,length,unit\n${lengths.map((x) => `key,${x},in`).join("\n")}\n`,
  );
  const twice = ["1.7421", "1.7426", "1.7433"].flatMap((x, i) =>
    ["A", "B"].flatMap((reader) =>
      [x, `${x.slice(0, -1)}${(Number(x.at(-1)) + 1) % 10}`].map((y) => `${i},${reader},${y},in`),
    ),
  );
  writeFileSync(join(folder, "gauge.csv"), `part,reader,value,unit\n${twice.join("\n")}\n`);
  return folder;
}
