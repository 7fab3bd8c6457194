import { writeFiles } from "../../core/files/write-files.js";
import { createStream } from "../../core/numeric/random-stream.js";
import { simulateTrials } from "../../inference/estimates/simulate-trials.js";
import { jobSources } from "../../inference/likelihood/specimen.js";
import { loadJob } from "../../io/job/load-job.js";
import { shippedPatterns } from "../../io/patterns/find-pattern.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import {
  MYSTERY_STREAMS,
  MYSTERY_TRUST,
  MysteryError,
  type MysteryKey,
  mysteryCode,
  mysteryJobText,
  mysteryShop,
} from "./mystery-job.js";
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
    jobSources(job),
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

/** Something wrong with a mystery's shop: an error source by name, and its size in rad or mm. */
export interface Fault {
  readonly source: string;
  readonly size: number;
}

const DEGREE = Math.PI / 180;

/** What may be wrong: unit of the size, how far it is trusted in that unit, and the step it is rounded to. */
function mysterySources(key: MysteryKey) {
  const { ramps, stops } = mysteryShop(key);
  const { ramp, stop, thickness } = MYSTERY_TRUST;
  return [
    ...ramps.map((of) => ({ source: `ramp of ${of}`, unit: DEGREE, trusted: ramp, step: 0.05 })),
    ...stops.map((of) => ({ source: `stop of ${of}`, unit: 1, trusted: stop, step: 0.01 })),
    { source: "thickness of the batch", unit: 1, trusted: thickness, step: 0.01 },
  ];
}

/** Most things that a mystery may have wrong. */
export const MOST_FAULTS = 3;

/** A fault is between these many times what its source is trusted to: large enough to matter, not so large that it is plain. */
const LEAST = 1;
const LARGEST = 2.5;

/** What is wrong in a mystery, in the order of its sources. The same key has the same faults. */
export function hiddenFaults(key: MysteryKey): Fault[] {
  const { seed, faults } = key;
  const stream = createStream(seed, MYSTERY_STREAMS.faults);
  const sources = mysterySources(key);
  const left = [...sources.keys()];
  const chosen = Array.from({ length: faults }, () => left.splice(stream.integer(left.length), 1)[0]!);
  return chosen
    .sort((a, b) => a - b)
    .map((k) => {
      const { source, unit, trusted, step } = sources[k]!;
      const size = trusted * (LEAST + (LARGEST - LEAST) * stream.uniform());
      const sign = stream.uniform() < 0.5 ? -1 : 1;
      return { source, size: sign * Number((Math.round(size / step) * step).toFixed(2)) * unit };
    });
}
