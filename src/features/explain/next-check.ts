import { at, present } from "../../core/numeric/dense.js";
import { createStream, type RandomStream } from "../../core/numeric/random-stream.js";
import { cardDecision } from "../../inference/card-decision.js";
import { equipmentOf } from "../../inference/design/borrowed.js";
import type { SeparatingReading, SignReading } from "../../inference/design/informative-readings.js";
import { type NamedReading, nextReadings } from "../../inference/design/next-readings.js";
import { withScatters } from "../../inference/job-posterior.js";
import { readSpecimen } from "../../inference/likelihood/read-specimen.js";
import {
  addOwnErrors,
  benchSpecimen,
  cellSpecimen,
  errorsFrom,
  lastRound,
  type Specimen,
} from "../../inference/likelihood/specimen.js";
import { probesAt } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { setUpNamed } from "../../model/shop.js";
import { sameSource } from "../../model/source-id.js";
import { priorMeans } from "../../model/sources.js";
import { orNothing } from "../../physics/predict/cell-model.js";
import {
  type Check,
  type CheckGroup,
  candidateChecks,
  chanceRight,
  type Foreseen,
  informationBetween,
  type WeighedCheck,
} from "./candidate-checks.js";
import type { Explanation } from "./explain-cells.js";
import { withoutEye } from "./seen-by-eye.js";
import { STORY_PRIOR, type Story } from "./stories.js";

/** Least expected information, bits, of a check worth taking: with only {@link DRAWS} draws, smaller values can be sampling error. */
const WORTH_TAKING = 0.08;
const DRAWS = 120;
/** Seed of the draws; both hypotheses use the same random numbers. */
const SEED = 4001;

/** The two most probable stories, and the information of a reading about them; `null` if it is too small. */
export interface StoriesTold {
  readonly stories: readonly [Story, Story];
  readonly check: WeighedCheck | null;
}

/** What to read next, and why. `stories`: the information of the same reading about the two most probable stories; `null` if there are none. */
export type NextCheck =
  /** The verdicts on jigs and stops name it; `first`: it is to be taken before anything is moved. */
  | {
      readonly why: "moves";
      readonly named: NamedReading;
      readonly first: boolean;
      readonly stories: StoriesTold | null;
    }
  /** It identifies the sign of a source whose size is identified. */
  | { readonly why: "sign"; readonly sign: SignReading; readonly stories: StoriesTold | null }
  /** It separates sources that cannot be distinguished so far. */
  | {
      readonly why: "combination";
      readonly separating: SeparatingReading;
      readonly stories: StoriesTold | null;
    }
  /** The card names no reading: of all that the job allows, the one that tells most about which of the two likeliest stories is true. */
  | { readonly why: "stories"; readonly stories: StoriesTold };

/**
 * The reading to take next: the first that the card names. If it names none and only cells were read, the reading that best separates the two most probable stories; otherwise
 * `null`, because no reading would change what to move.
 */
export function nextCheck(explanation: Explanation): NextCheck | null {
  const job = withoutEye(explanation.job);
  const { posterior, seed, stories } = explanation;
  const fit = present(posterior.fit);
  const specimen = cellSpecimen(withScatters(job, posterior), fit.target.cells);
  const { residuals, goodness } = posterior;
  const { decision } = cardDecision(job, fit, specimen, { seed, residuals, goodness });
  const { beforeMoving, whenConvenient, signs, separating } = nextReadings(job, fit, decision, seed);
  const pair = stories && drawsOfStories(explanation, stories);
  const told = (reading: Reading): StoriesTold | null =>
    pair && { stories: pair.stories, check: checkOf(explanation, reading, pair.draws) };
  const named = beforeMoving[0] ?? whenConvenient[0];
  if (named) {
    const reading = at(named.reading.readings, 0);
    return { why: "moves", named, first: beforeMoving.length > 0, stories: told(reading) };
  }
  const [sign] = signs;
  if (sign) return { why: "sign", sign, stories: told(sign.reading) };
  const [apart] = separating;
  if (apart) return { why: "combination", separating: apart, stories: told(apart.reading) };
  if (!pair) return null;
  return { why: "stories", stories: { stories: pair.stories, check: bestCheck(explanation, ...pair.draws) } };
}

/** The readings to take next, all on one piece or jig; empty if none would be informative. */
export function nextReadingsOf(next: NextCheck): readonly Check[] {
  if (next.why === "moves") return next.named.reading.readings;
  if (next.why === "sign") return [next.sign.reading];
  if (next.why === "combination") return [next.separating.reading];
  const { check } = next.stories;
  return check ? [check.check] : [];
}

/** The two most probable stories with draws of the sources under each; `null` if only one is left. */
function drawsOfStories(
  explanation: Explanation,
  [first, second]: readonly Story[],
): {
  readonly stories: readonly [Story, Story];
  readonly draws: readonly [Float64Array[], Float64Array[]];
} | null {
  if (!first || !second) return null;
  return { stories: [first, second], draws: [drawsOf(explanation, first), drawsOf(explanation, second)] };
}

/** Draws of the sources given that a story is true, rad and mm. */
function drawsOf({ posterior: { sources } }: Explanation, { causes }: Story): Float64Array[] {
  const stream = createStream(SEED, 1);
  const means = priorMeans(sources);
  return Array.from({ length: DRAWS }, () =>
    Float64Array.from(sources, ({ id, priorSd }, s) => {
      const off = causes.find((cause) => sameSource(cause.id, id));
      return off
        ? off.size + off.standardUncertainty * stream.normal()
        : at(means, s) + STORY_PRIOR.nearlyRight * priorSd * stream.normal();
    }),
  );
}

function bestCheck(
  explanation: Explanation,
  first: readonly Float64Array[],
  second: readonly Float64Array[],
): WeighedCheck | null {
  const [best] = rankedChecks(explanation, first, second);
  return best ? worthTaking(best) : null;
}

const worthTaking = (weighed: WeighedCheck): WeighedCheck | null =>
  weighed.bits >= WORTH_TAKING ? weighed : null;

/** The information of one reading about two stories; `null` if it is too small. */
function checkOf(
  { job }: Explanation,
  { bench, setUp, what, subject, at: end, side, instrument }: Reading,
  draws: readonly [readonly Float64Array[], readonly Float64Array[]],
): WeighedCheck | null {
  const check: Check = { bench, setUp, what, subject, at: end, instrument, ...(side && { side }) };
  const group: CheckGroup = {
    bench,
    ofJigs: what === "ramp",
    checks: [check],
    setUp: setUp === null ? null : setUpNamed(job, setUp),
  };
  const [weighed] = weighedChecks(job, group, ...draws);
  return weighed ? worthTaking(weighed) : null;
}

/** Every check that the job allows, in descending order of information about which of two sets of sources (rad and mm) is true. */
export function rankedChecks(
  { job, specimen }: Pick<Explanation, "job" | "specimen">,
  first: readonly Float64Array[],
  second: readonly Float64Array[],
): WeighedCheck[] {
  if (first.length === 0 || second.length === 0) return [];
  return candidateChecks(job, specimen.cell)
    .flatMap((group) => weighedChecks(job, group, first, second))
    .sort((x, y) => y.bits - x.bits);
}

/** The checks of a group, each evaluated for two sets of sources. */
function weighedChecks(
  job: Job,
  group: CheckGroup,
  first: readonly Float64Array[],
  second: readonly Float64Array[],
): WeighedCheck[] {
  const { instruments, borrowed } = equipmentOf(job);
  // The job's own statements about its instruments take precedence over the defaults.
  const byName = new Map([...borrowed, ...instruments, ...job.instruments].map((one) => [one.name, one]));
  const on = specimenOfGroup(job, group);
  const [a, b] = [first, second].map((draws) => foresee(job, draws, group, on)) as [
    Float64Array[],
    Float64Array[],
  ];
  return group.checks.map((check, k): WeighedCheck => {
    const instrument = present(byName.get(check.instrument));
    const [one, other] = [at(a, k), at(b, k)];
    return {
      check,
      bits: informationBetween(instrument, one, other),
      right: chanceRight(instrument, one, other),
      foreseen: [foreseen(one), foreseen(other)],
    };
  });
}

function foreseen(values: Float64Array): Foreseen {
  const sorted = values.slice().sort();
  const place = (share: number): number => at(sorted, Math.round(share * (sorted.length - 1)));
  return [place(0.05), place(0.5), place(0.95)];
}

/** The specimen that the checks of a group are read on. */
function specimenOfGroup(job: Job, { bench, setUp }: CheckGroup): Specimen {
  const round = lastRound(job);
  return bench === "none" || bench === "cell"
    ? cellSpecimen(job, undefined, round)
    : benchSpecimen(job, bench, present(setUp).name, round);
}

/** Predictions of the checks of a group for these sources, without the instrument's noise, on pieces with fresh cut-to-cut errors: one row per check, mm or rad. */
function foresee(
  job: Job,
  sources: readonly Float64Array[],
  { bench, checks }: CheckGroup,
  specimen: Specimen,
): Float64Array[] {
  const stream = createStream(SEED);
  const readings = checks.map(asReading);
  const probes = checks.map(({ subject, at: end, side }) =>
    probesAt(specimen.cell, { joint: subject, at: end, side }),
  );
  const out = checks.map(() => new Float64Array(DRAWS));
  for (let d = 0; d < DRAWS; d++) {
    const errors = freshErrors(specimen, at(sources, Math.floor((d * sources.length) / DRAWS)), stream);
    const values =
      bench === "none"
        ? readSpecimen(specimen.reader, errors, readings, job).map(({ value }) => value)
        : gapsOf(specimen, errors, job, probes);
    for (const [k, value] of values.entries()) at(out, k)[d] = value;
  }
  return out;
}

/** Errors of a new piece: the shared ones and its own, including its thickness and the effect of that on its cuts. */
function freshErrors(specimen: Specimen, sources: Float64Array, stream: RandomStream): Float64Array {
  const errors = errorsFrom(specimen, sources);
  addOwnErrors(specimen, stream.fill(new Float64Array(errors.length)), errors);
  return errors;
}

/** The widest gap of each set of probes, mm; 0 where a trial piece finds no equilibrium. */
function gapsOf(
  { reader }: Specimen,
  errors: Float64Array,
  job: Job,
  probes: readonly (readonly number[])[],
): number[] {
  const gap = orNothing(() => reader.seatOne(errors, job).gap);
  return probes.map((own) => (gap === null ? 0 : Math.max(...own.map((probe) => at(gap, probe)))));
}

const asReading = (check: Check, i: number): Reading => ({
  ...check,
  id: String(i),
  line: 0,
  trial: "check",
  round: null,
  value: null,
  note: "",
  low: Number.NEGATIVE_INFINITY,
  high: Number.POSITIVE_INFINITY,
});
