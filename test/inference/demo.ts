import { resolve } from "node:path";
import { loadJob } from "../../src/io/job/load-job.js";
import { loadTruth } from "../../src/io/records/load-truth.js";
import { loadTrialPlan, loadTrials } from "../../src/io/trials/load-trials.js";

/** The demonstration job: invented, and simulated from known errors. */
export const DEMO = resolve(import.meta.dirname, "../../data/alcove-screen");
export const demoJob = loadJob(DEMO);
export const demoReadings = loadTrials(DEMO, demoJob);
export const demoPlan = loadTrialPlan(`${DEMO}/plan.csv`, demoJob);
export const demoTruth = loadTruth(`${DEMO}/truth.yaml`, demoJob);
