import { UserError } from "../../core/errors.js";
import { writeFiles } from "../../core/files.js";
import { DEGREE } from "../../core/geometry.js";
import { at, present } from "../../core/numeric/dense.js";
import { symmetricInverse } from "../../core/numeric/linear-algebra.js";
import { createStream, MOST_SEED } from "../../core/numeric/random-stream.js";
import { fitSources, type SourceEstimate } from "../../inference/estimates/fit-sources.js";
import { simulateTrials } from "../../inference/estimates/simulate-trials.js";
import { jobSources } from "../../inference/likelihood/specimen.js";
import {
  expectedInformation,
  inPriorSds,
  posteriorMode,
  profileOf,
  TO_COMPARE,
  targetDensity,
} from "../../inference/posterior/posterior-mode.js";
import { TRIALS_FILE } from "../../io/files.js";
import { type JobData, makeJob } from "../../io/job/load-job.js";
import { shippedPatterns } from "../../io/patterns/find-pattern.js";
import { trialsCsv } from "../../io/trials/trials-csv.js";
import { readYaml } from "../../io/yaml/read-yaml.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { BATCH_THICKNESS, type SourceId, sameSource } from "../../model/source-id.js";
import { indexOfSource } from "../../model/sources.js";
import { sourceText } from "../../render/source-text.js";
import {
  MOST_DRAWS,
  type MysteryKey,
  type MysteryLevel,
  mysteryCode,
  mysteryJobText,
  mysteryShop,
  mysteryStream,
  RAMP_TRUST,
  shopSizes,
} from "./mystery-job.js";
import { menuCsv, mysteryPlan } from "./mystery-plan.js";

/** Files of a mystery. */
export const MYSTERY_FILES = {
  job: "job.yaml",
  code: "mystery.txt",
  answer: "answer.yaml",
  menu: "menu.csv",
} as const;

/** A mystery's job and what was read in its shop. */
export interface Mystery {
  readonly key: MysteryKey;
  readonly job: Job;
  readonly readings: readonly Reading[];
}

/**
 * A mystery of this key, made in memory.
 *
 * @throws UserError (code "mystery") for a seed, a number of faults or a pattern that there is none of.
 */
export function mysteryOf(key: MysteryKey): Mystery {
  const { seed, faults, pattern } = key;
  if (!(Number.isSafeInteger(seed) && seed >= 0 && seed <= MOST_SEED))
    throw new UserError("mystery", `A mystery's seed is a whole number from 0 to ${MOST_SEED}; got ${seed}.`);
  if (!(Number.isInteger(faults) && faults >= 1 && faults <= MOST_FAULTS))
    throw new UserError("mystery", `A mystery has 1 to ${MOST_FAULTS} faults; got ${faults}.`);
  if (pattern !== undefined && !shippedPatterns().includes(pattern))
    throw new UserError(
      "mystery",
      `There is no pattern “${pattern}”; it must be ${shippedPatterns().join(", ")}. Write for example --pattern ${shippedPatterns()[1]}`,
    );
  const { data } = readYaml(mysteryJobText(key));
  const job = makeJob(data as JobData);
  const truth = truthOf(job, hiddenFaults(key));
  const readings = simulateTrials(job, mysteryPlan(job, key.level), {
    truth,
    seed,
    substream: mysteryStream(key, "trials"),
  });
  return { key, job, readings };
}

/** A mystery of some level all of whose faults its readings show, with what they tell of every source. */
export interface FairMystery extends Mystery {
  readonly estimates: readonly SourceEstimate[];
}

/**
 * The first draw of the faults of a seed that its readings show: every fault's 95 % interval leaves zero out. Where none of {@link MOST_DRAWS} does, the last that was fitted.
 *
 * @throws UserError (code "mystery") for a seed, a number of faults or a level that there is not.
 */
export function fairMystery(key: MysteryKey & { readonly level: MysteryLevel }): FairMystery {
  let last: FairMystery | null = null;
  for (let draw = 0; draw < MOST_DRAWS; draw++) {
    const made = mysteryOf({ ...key, draw });
    const faults = hiddenFaults(made.key);
    if (draw < MOST_DRAWS - 1 && !seemShown(made, faults)) continue;
    const { sources } = fitSources(made.job, made.readings, { alsoWithoutPriors: false });
    last = { ...made, estimates: sources };
    if (faults.every(({ source }) => isShown(sources, source))) break;
  }
  return present(last);
}

const isShown = (estimates: readonly SourceEstimate[], source: SourceId): boolean =>
  estimates.some(({ id, interval: [low, high] }) => sameSource(id, source) && (low > 0 || high < 0));

/** An estimate this many standard deviations from zero is worth a fit. */
const WORTH_A_FIT = 2.2;

/** Whether the mode near the truth and the curvature there say that every fault shows: a hundredth of the work of a fit, which has the last word. */
function seemShown({ job, readings }: Mystery, faults: readonly Fault[]): boolean {
  const sources = jobSources(job);
  const target = targetDensity({ ...job, order: "first" }, sources, readings);
  const { estimates, modes } = posteriorMode(target, truthOf(job, faults), [], TO_COMPARE);
  const x = inPriorSds(estimates, sources);
  const { terms } = profileOf(target, modes, TO_COMPARE)(x);
  const covariance = symmetricInverse(expectedInformation(terms, sources.length), sources.length);
  return faults.every(({ source }) => {
    const i = indexOfSource(sources, source);
    return Math.abs(at(x, i)) > WORTH_A_FIT * Math.sqrt(at(covariance, i * (sources.length + 1)));
  });
}

/** The files of a mystery's folder: the job, the table of readings, a blank answer, and the code that what is wrong follows from; with a budget also the list of what can be bought. */
export function mysteryFiles({ key, job, readings }: Mystery): Record<string, string> {
  const bought = key.level === "budget" ? [] : readings;
  return {
    [MYSTERY_FILES.job]: mysteryJobText(key),
    [TRIALS_FILE]: trialsCsv(job, bought),
    [MYSTERY_FILES.code]: codeText(key),
    [MYSTERY_FILES.answer]: answerText(key),
    ...(key.level === "budget" ? { [MYSTERY_FILES.menu]: menuCsv(job, readings) } : {}),
  };
}

/**
 * Writes a mystery's folder, all of it or nothing.
 *
 * @throws UserError (code "mystery") for a seed, a number of faults or a level that there is not.
 */
export function makeMystery(folder: string, key: MysteryKey): Mystery {
  const made = key.level === undefined ? mysteryOf(key) : fairMystery({ ...key, level: key.level });
  writeFiles(folder, mysteryFiles(made));
  return made;
}

/** The size of every source, in the order of the job's sources. */
export function truthOf(job: Job, faults: readonly Fault[]): Float64Array {
  return Float64Array.from(
    jobSources(job),
    ({ id }) => faults.find(({ source }) => sameSource(source, id))?.size ?? 0,
  );
}

const codeText = (key: MysteryKey): string => `${mysteryCode(key)}
What is wrong follows from this word. It is scrambled so that it is not read at a glance, and is no secret:
sukima mystery --mark tells the truth to anyone who asks for it.
`;

function answerText(key: MysteryKey): string {
  const { ramps, stops } = mysteryShop(key);
  const { name } = shopSizes(key).unit;
  return `# What is wrong? One entry for each thing that is off; leave out what is right.
# cause: ${causeText("ramp", ramps.join(" | "))}, ${causeText("stop", stops.join(" | "))}, ${sourceText(BATCH_THICKNESS)}
# name may stay empty; it stands in the table that marks a whole class.
# size:  a ramp in degrees, one that cuts a sharper point than its label is +; a stop in ${name}, longer is +; the strips in ${name}, thicker than nominal is +
#   - { cause: ${causeText("stop", stops.at(-1) ?? "")}, size: ${name === "mm" ? "-0.1 mm" : "-4 thou"} }
#   - { cause: ${causeText("ramp", ramps[1] ?? ramps[0] ?? "")}, size: 0.4 deg }
name: ""
answer: []
`;
}

const causeText = (kind: "ramp" | "stop", of: string): string => sourceText({ kind, of });

/** Something wrong with a mystery's shop: an error source, and its size in rad or mm. */
export interface Fault {
  readonly source: SourceId;
  readonly size: number;
}

/** What may be wrong. */
interface MysterySource {
  readonly source: SourceId;
  /** Of its size, in rad or mm. */
  readonly unit: number;
  /** In that unit. */
  readonly trusted: number;
  /** What its size is rounded to, in that unit. */
  readonly step: number;
}

function mysterySources(key: MysteryKey): MysterySource[] {
  const { ramps, stops } = mysteryShop(key);
  const { stop, thickness, step, unit } = shopSizes(key);
  const length = { unit: unit.mm, step };
  return [
    ...ramps.map(
      (of): MysterySource => ({
        source: { kind: "ramp", of },
        unit: DEGREE,
        trusted: RAMP_TRUST,
        step: 0.05,
      }),
    ),
    ...stops.map((of): MysterySource => ({ source: { kind: "stop", of }, ...length, trusted: stop })),
    { source: BATCH_THICKNESS, ...length, trusted: thickness },
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
  const stream = createStream(seed, mysteryStream(key, "faults"));
  const sources = mysterySources(key);
  const left = [...sources.keys()];
  const chosen = Array.from({ length: faults }, () => at(left.splice(stream.integer(left.length), 1), 0));
  return chosen
    .sort((a, b) => a - b)
    .map((k) => {
      const { source, unit, trusted, step } = at(sources, k);
      const size = trusted * (LEAST + (LARGEST - LEAST) * stream.uniform());
      const sign = stream.uniform() < 0.5 ? -1 : 1;
      return { source, size: sign * Number((Math.round(size / step) * step).toFixed(2)) * unit };
    });
}
