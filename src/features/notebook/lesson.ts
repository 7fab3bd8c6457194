import { existsSync } from "node:fs";
import { basename, join } from "node:path";
import { createStream } from "../../core/numeric/random-stream.js";
import { PACKAGE_ROOT } from "../../core/package-root.js";
import { type PlanOptions, planTrials } from "../../inference/design/plan-trials.js";
import { simulateTrials } from "../../inference/estimates/simulate-trials.js";
import { jobSources } from "../../inference/likelihood/specimen.js";
import { TRIALS_FILE } from "../../io/files.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import type { Cell } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import type { Reading } from "../../model/readings.js";
import { CAUTIONS } from "../../render/cautions.js";
import { JOB_VARIABLE } from "../../render/notebook/run-and-render.js";
import { pieceLength, smallUnit } from "../../render/shop-numbers.js";
import { markdownText } from "../../render/text.js";

/** The invented job that a notebook uses when it is given none. */
export const DEMONSTRATION: string = join(PACKAGE_ROOT, "data", "alcove-screen");

/** The job a notebook runs on. */
export interface Lesson {
  /** The job's folder. */
  readonly folder: string;
  readonly job: Job;
  readonly cell: Cell;
  /** The readings of the job's own table of trials; none where there is no table. */
  readonly readings: readonly Reading[];
  /** The unit that gaps and other small lengths are shown in. */
  readonly unit: "mm" | "thou";
  /** Pattern, opening, strip and readings in a sentence, as Markdown. */
  readonly says: string;
  /** A table of the job's folder, or the demonstration's where the job has none; the second says which. */
  readonly table: (name: string) => { readonly file: string; readonly own: boolean };
}

/**
 * Opens the job named in `SUKIMA_JOB`, or the demonstration job.
 *
 * @throws JobError when the job or its readings have a fault
 * @example
 * openLesson().unit // "mm"
 */
export function openLesson(): Lesson {
  const folder = process.env[JOB_VARIABLE] ?? DEMONSTRATION;
  const job = loadJob(folder);
  const readings = existsSync(join(folder, TRIALS_FILE)) ? loadTrials(folder, job) : [];
  const { opening, strip, units } = job;
  const sizes = `opening ${pieceLength(opening, units)}, strip ${pieceLength(strip, units)}`;
  const shop = `${job.jigs.length} jigs, ${job.setUps.length} set-ups, ${job.instruments.length} instruments`;
  const read = readings.length === 0 ? "no readings yet" : `${readings.length} readings`;
  return {
    folder,
    job,
    readings,
    cell: jobCell(job),
    unit: smallUnit(units),
    says: `**${markdownText(job.title)}**: ${sizes}; ${shop}; ${read}.`,
    table: (name) => {
      const own = join(folder, name);
      return existsSync(own) ? { file: own, own: true } : { file: join(DEMONSTRATION, name), own: false };
    },
  };
}

/** Readings that a shop with known errors would take. */
export interface Practice {
  readonly readings: readonly Reading[];
  /** The errors they were made from, in the order of `jobSources(job)`; rad and mm. */
  readonly truth: Float64Array;
}

const PRACTICE_PLAN: PlanOptions = { trials: 8, scenarios: 8 };

/**
 * Invented readings, to work through a job that has none: its errors are drawn from what the job trusts, its trials
 * planned, each taken twice, and read by simulation.
 *
 * @param seed an integer ≥ 0; another one is another shop
 * @example
 * practiceReadings(job, 1).truth.length === jobSources(job).length // true
 */
export function practiceReadings(job: Job, seed = 1): Practice {
  const sources = jobSources(job);
  const stream = createStream(seed);
  const truth = Float64Array.from(
    sources,
    ({ priorMean, priorSd }) => (priorMean ?? 0) + priorSd * stream.normal(),
  );
  const { readings } = planTrials(job, [], PRACTICE_PLAN);
  const again = readings.map((reading) => ({
    ...reading,
    id: `${reading.id}-2`,
    trial: `${reading.trial}-2`,
  }));
  return { readings: simulateTrials(job, [...readings, ...again], { truth, seed }), truth };
}

/** The cautions as a list, as Markdown: wherever someone is told to cut or to adjust, these come first. */
export const cautions = (): string => CAUTIONS.map((caution) => `- ${caution}`).join("\n");

/**
 * Stops the notebook unless what it claims holds, and prints what was checked: “holds: one and one are two”.
 *
 * @throws Error when it does not hold
 * @example
 * check(1 + 1 === 2, "one and one are two") // undefined
 */
export function check(holds: boolean, what: string): void {
  if (!holds) throw new Error(`This does not hold: ${what}`);
  console.log(`holds: ${what}`);
}

/** What a notebook needs of a job, and which notebook does without. */
export interface Need {
  /** The notebook that asks, by its name. */
  readonly notebook: string;
  readonly holds: boolean;
  /** What the job lacks, as a sentence without its full stop. */
  readonly lacks: string;
  /** What to run instead, by its name. */
  readonly instead: string;
}

/**
 * Refuses a job that a notebook cannot be run on.
 *
 * @throws Error naming the notebook, what the job lacks and the notebook that does it
 */
export function requireOfJob({ job, folder }: Pick<Lesson, "job" | "folder">, need: Need): void {
  if (need.holds) return;
  throw new Error(
    `${need.notebook} does not run on ${basename(folder)} (pattern ${job.pattern}): ${need.lacks}. ${need.instead} does.`,
  );
}
