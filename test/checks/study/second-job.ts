import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import type { BlockWork } from "../../../src/core/threads/pool-thread.js";
import { recordYaml } from "../../../src/features/record/record-yaml.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { jobPosterior } from "../../../src/inference/job-posterior.js";
import { JobCells } from "../../../src/inference/likelihood/read-specimen.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { WIDEN } from "../../../src/io/records/jig-record.js";
import { loadTrialPlan } from "../../../src/io/trials/load-trials.js";
import type { Job } from "../../../src/model/job/job.js";
import { sameSource } from "../../../src/model/source-id.js";
import { type DataSet, loadWorld, WORLDS, type WorldTask, workOn } from "./try-world.js";

export interface StartOptions {
  readonly number: number;
  readonly seed: number;
  /** Draws true sources of a job from its prior; those of different `from` are independent. */
  readonly truthOf: (job: Job, from?: number) => Float64Array;
}

/** A job that starts from the record of an earlier one with the same jigs, which have worn since. */
export interface SecondJob {
  /** The earlier job is read, fitted and recorded anew; the job that names its record, and its true sources. */
  start(options: StartOptions): { readonly job: Job; readonly truth: Float64Array };
}

/** The data sets of the second job, for a worker pool. */
export function secondJobWork(task: WorldTask): BlockWork<DataSet, null> {
  const world = loadWorld(task.world);
  return workOn({ ...world, second: loadSecondJob(join(WORLDS, task.world), world.job) }, task);
}

const RECORD = "first-job.yaml";

/** @param folder of the second job; the first is in its folder `first`. */
export function loadSecondJob(folder: string, second: Job): SecondJob {
  const first = loadJob(join(folder, "first"));
  const plan = loadTrialPlan(join(folder, "first", "plan.csv"), first);
  const text = readFileSync(second.file, "utf8");
  const cells = new JobCells();
  const own = jobSources(second);
  return {
    start({ number, seed, truthOf }) {
      const before = truthOf(first);
      const readings = simulateTrials(first, plan, { truth: before, seed, substream: number, cells });
      const record = recordYaml(jobPosterior(first, readings, { seed: number }), "2000-01-01");
      const wear = createStream(seed + 1, number);
      const fresh = truthOf(second, before.length);
      const truth = fresh.map((value, i) => {
        const { id } = own[i]!;
        const k = jobSources(first).findIndex((source) => sameSource(source.id, id));
        if (k < 0 || (id.kind !== "ramp" && id.kind !== "stop")) return value;
        return before[k]! + (id.kind === "ramp" ? WIDEN.ramps : WIDEN.stops) * wear.normal();
      });
      if (record === null) return { job: second, truth };
      const copy = mkdtempSync(join(tmpdir(), "sukima-study-"));
      try {
        writeFileSync(join(copy, RECORD), record);
        writeFileSync(join(copy, "job.yaml"), `${text}\nrecords: [${RECORD}]\n`);
        return { job: loadJob(copy), truth };
      } finally {
        rmSync(copy, { recursive: true });
      }
    },
  };
}
