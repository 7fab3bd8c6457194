import { resolve } from "node:path";
import type { Job } from "../job/job.js";
import { loadJob } from "../job/load-job.js";
import { loadTrialPlan } from "../job/load-trials.js";
import type { Reading } from "../readings/reading.js";

/** A made-up shop whose true errors are known, in which the fit is tried out. */
export interface World {
  readonly name: string;
  readonly job: Job;
  readonly plan: readonly Reading[];
  /** How the readings are spoilt before the fit sees them. */
  readonly spoilt: "not" | "gross mistakes" | "closed as zero";
  /** Whether the coverage of what the data identify is held to 95 % here. */
  readonly heldToCoverage: boolean;
  /** A negative control must fail. */
  readonly control: boolean;
}

const WORLDS = resolve(import.meta.dirname, "../../data/worlds");

/** The four worlds, and the negative control: the coarse feeler's closed joints written down as gaps of exactly zero. */
export const WORLD_NAMES = [
  "many-precise",
  "coarse-feeler",
  "two-rounds",
  "one-in-ten-wrong",
  "control",
] as const;
export type WorldName = (typeof WORLD_NAMES)[number];

/** @throws JobError when the world's folder is not as it should be */
export function loadWorld(name: WorldName): World {
  const control = name === "control";
  const folder = resolve(WORLDS, control ? "coarse-feeler" : name);
  const job = loadJob(folder);
  return {
    ...{ name, job, control },
    plan: loadTrialPlan(`${folder}/plan.csv`, job),
    spoilt: control ? "closed as zero" : job.mistakes > 0 ? "gross mistakes" : "not",
    heldToCoverage: job.mistakes === 0,
  };
}
