import { simulateTrials } from "../calibrate/simulate-trials.js";
import { sourcesOf } from "../calibrate/specimen.js";
import { writeFiles } from "../files/write-files.js";
import type { Job } from "../job/job.js";
import { loadJob } from "../job/load-job.js";
import { shippedPatterns } from "../job/pattern/shipped-patterns.js";
import type { Reading } from "../readings/reading.js";
import { type Fault, hiddenFaults, MOST_FAULTS } from "./hidden-faults.js";
import { type MysteryKey, mysteryCode } from "./mystery-code.js";
import { MysteryError } from "./mystery-error.js";
import { MYSTERY_STREAMS, mysteryJobText, mysteryShop } from "./mystery-job.js";
import { mysteryPlan } from "./mystery-plan.js";

/** Files of a mystery. */
export const MYSTERY_FILES = { job: "job.yaml", code: "mystery.txt", answer: "answer.yaml" } as const;

/** A mystery's job and what was read in its shop. */
export interface Mystery {
  readonly job: Job;
  readonly readings: readonly Reading[];
}

/**
 * Writes a mystery's folder but for its table of trials: the job, a blank answer, and the code that what is wrong follows from.
 *
 * @throws MysteryError for a seed or a number of faults that there is none of.
 */
export function makeMystery(folder: string, key: MysteryKey): Mystery {
  const { seed, faults, pattern } = key;
  if (!(Number.isSafeInteger(seed) && seed >= 0))
    throw new MysteryError(`A mystery's seed is a whole number from 0 on; got ${seed}.`);
  if (!(Number.isInteger(faults) && faults >= 1 && faults <= MOST_FAULTS))
    throw new MysteryError(`A mystery has 1 to ${MOST_FAULTS} faults; got ${faults}.`);
  if (pattern !== undefined && !shippedPatterns().includes(pattern))
    throw new MysteryError(
      `There is no pattern “${pattern}”; it must be ${shippedPatterns().join(", ")}. Write for example --pattern ${shippedPatterns()[1]}`,
    );
  writeFiles(folder, {
    [MYSTERY_FILES.job]: mysteryJobText(key),
    [MYSTERY_FILES.code]: codeText(key),
    [MYSTERY_FILES.answer]: answerText(key),
  });
  const job = loadJob(folder);
  const truth = truthOf(job, hiddenFaults(key));
  const readings = simulateTrials(job, mysteryPlan(job), {
    ...{ truth, seed, substream: MYSTERY_STREAMS.trials },
  });
  return { job, readings };
}

/** The size of every source, in the order of the job's sources. */
export function truthOf(job: Job, faults: readonly Fault[]): Float64Array {
  return Float64Array.from(
    sourcesOf(job),
    ({ name }) => faults.find(({ source }) => source === name)?.size ?? 0,
  );
}

const codeText = (key: MysteryKey): string => `${mysteryCode(key)}
What is wrong follows from this word. It is scrambled so that it is not read at a glance, and is no secret:
sukima mystery --mark tells the truth to anyone who asks for it.
`;

function answerText(key: MysteryKey): string {
  const { ramps, stops } = mysteryShop(key);
  return `# What is wrong? One entry for each thing that is off; leave out what is right.
# cause: ramp of ${ramps.join(" | ")}, stop of ${stops.join(" | ")}, thickness of the batch
# size:  a ramp in degrees, steeper than its label is +; a stop in mm, longer is +; the strips in mm, thicker than nominal is +
#   - { cause: stop of ${stops.at(-1)}, size: -0.1 mm }
#   - { cause: ramp of ${ramps[1] ?? ramps[0]}, size: 0.4 deg }
answer: []
`;
}
