import { UserError } from "../../core/errors.js";
import { writeFiles } from "../../core/files.js";
import { DEGREE } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import { createStream } from "../../core/numeric/random-stream.js";
import { simulateTrials } from "../../inference/estimates/simulate-trials.js";
import { jobSources } from "../../inference/likelihood/specimen.js";
import { loadJob } from "../../io/job/load-job.js";
import { shippedPatterns } from "../../io/patterns/find-pattern.js";
import { patternShop, type StarterSetUp } from "../../io/patterns/pattern-shop.js";
import { cornerName } from "../../model/cell/benches.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import type { Reading } from "../../model/readings.js";
import { BATCH_THICKNESS, type SourceId, sameSource } from "../../model/source-id.js";
import { sourceText } from "../../render/source-text.js";
import {
  MYSTERY_STREAMS,
  MYSTERY_TRUST,
  type MysteryKey,
  mysteryCode,
  mysteryJobText,
  mysteryShop,
} from "./mystery-job.js";

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
 * @throws UserError (code "mystery") for a seed or a number of faults that there is none of.
 */
export function makeMystery(folder: string, key: MysteryKey): Mystery {
  const { seed, faults, pattern } = key;
  if (!(Number.isSafeInteger(seed) && seed >= 0))
    throw new UserError("mystery", `A mystery's seed is a whole number from 0 on; got ${seed}.`);
  if (!(Number.isInteger(faults) && faults >= 1 && faults <= MOST_FAULTS))
    throw new UserError("mystery", `A mystery has 1 to ${MOST_FAULTS} faults; got ${faults}.`);
  if (pattern !== undefined && !shippedPatterns().includes(pattern))
    throw new UserError(
      "mystery",
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
    ({ id }) => faults.find(({ source }) => sameSource(source, id))?.size ?? 0,
  );
}

const codeText = (key: MysteryKey): string => `${mysteryCode(key)}
What is wrong follows from this word. It is scrambled so that it is not read at a glance, and is no secret:
sukima mystery --mark tells the truth to anyone who asks for it.
`;

function answerText(key: MysteryKey): string {
  const { ramps, stops } = mysteryShop(key);
  return `# What is wrong? One entry for each thing that is off; leave out what is right.
# cause: ${causeText("ramp", ramps.join(" | "))}, ${causeText("stop", stops.join(" | "))}, ${sourceText(BATCH_THICKNESS)}
# size:  a ramp in degrees, one that cuts a sharper point than its label is +; a stop in mm, longer is +; the strips in mm, thicker than nominal is +
#   - { cause: ${causeText("stop", stops.at(-1) ?? "")}, size: -0.1 mm }
#   - { cause: ${causeText("ramp", ramps[1] ?? ramps[0] ?? "")}, size: 0.4 deg }
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
  const { ramp, stop, thickness } = MYSTERY_TRUST;
  return [
    ...ramps.map(
      (of): MysterySource => ({ source: { kind: "ramp", of }, unit: DEGREE, trusted: ramp, step: 0.05 }),
    ),
    ...stops.map(
      (of): MysterySource => ({ source: { kind: "stop", of }, unit: 1, trusted: stop, step: 0.01 }),
    ),
    { source: BATCH_THICKNESS, unit: 1, trusted: thickness, step: 0.01 },
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

type Row = Pick<Reading, "trial" | "setUp" | "bench" | "what" | "subject" | "at" | "instrument">;

/**
 * What is read of a mystery's trial cuts: two trial points of each jig that makes points, two bevels of each other jig, the pieces of two cells (two of a
 * kind at most), and every joint of one.
 */
export function mysteryPlan(job: Job): Reading[] {
  const cell = jobCell(job);
  const { jigs, setUps } = patternShop(cell);
  const isPair = ({ piece, cut }: StarterSetUp): boolean =>
    piece.cuts.filter(({ group }) => group === cut.group).length === 2;
  const points = jigs.map(({ name }) =>
    setUps.find((one) => one.jig === name && one.cut.end === -1 && isPair(one)),
  );
  const bevels = jigs.flatMap(({ name }, i) => {
    if (points[i]) return [];
    const own = setUps.filter((one) => one.jig === name);
    return [own.find(({ stopped }) => stopped) ?? at(own, 0)];
  });
  const named = new Map<string, number>();
  const trials = (letter: string): string[] =>
    ["", ""].map(() => {
      // The cells are c1 and c2.
      const count = (named.get(letter) ?? (letter === "c" ? 2 : 0)) + 1;
      named.set(letter, count);
      return `${letter}${count}`;
    });
  const kinds = [...new Set(cell.pieces.map(({ kind }) => kind))];
  const pieces = kinds.flatMap((kind) => cell.pieces.filter((piece) => piece.kind === kind).slice(0, 2));
  const rows = [
    ...points.flatMap((one) =>
      one ? pointRows(trials(one.piece.kind.charAt(0)), one.name, cornerName(one.cut.jigAngle)) : [],
    ),
    ...bevels.flatMap(({ name, cut }) => trials("b").flatMap((trial) => bevelRows(trial, name, cut.face))),
    ...["c1", "c2"].flatMap((trial) =>
      pieceRows(
        trial,
        pieces.map(({ name }) => name),
      ),
    ),
    ...cell.joints.map(
      ({ name }): Row => ({
        ...{ trial: "c1", setUp: null, bench: "cell", what: "gap", subject: name, at: "widest" },
        instrument: "shim-strips",
      }),
    ),
  ];
  return rows.map((row, i) => ({
    ...row,
    ...{ id: `m${String(i + 1).padStart(2, "0")}`, line: i + 2, round: null, value: null, note: "" },
    ...{ low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY },
  }));
}

function pointRows(trials: readonly string[], setUp: string, bench: `corner-${number}`): Row[] {
  return trials.flatMap((trial) => {
    const common = { trial, setUp };
    return (["left", "right"] as const).flatMap((side): Row[] => [
      {
        ...{ ...common, bench: "none", what: "angle", subject: `start-${side}`, at: null },
        instrument: "angle-gauge",
      },
      ...(["toe", "heel"] as const).map(
        (at): Row => ({
          ...{ ...common, bench, what: "gap", at, instrument: "shim-strips" },
          subject: `point.start-${side}|reference-${side}`,
        }),
      ),
    ]);
  });
}

const bevelRows = (trial: string, setUp: string, face: string): Row[] => [
  {
    ...{ trial, setUp, bench: "none", what: "angle", at: null },
    ...{ subject: face, instrument: "angle-gauge" },
  },
  ...(["toe", "heel"] as const).map(
    (at): Row => ({
      ...{ trial, setUp, bench: "straightedge", what: "gap", at },
      ...{ subject: "bevel.end-left|straightedge", instrument: "shim-strips" },
    }),
  ),
];

const pieceRows = (trial: string, pieces: readonly string[]): Row[] =>
  pieces.flatMap((subject): Row[] =>
    (["length", "thickness"] as const).map((what) => ({
      ...{ trial, setUp: null, bench: "none", what, subject, at: null, instrument: "caliper" },
    })),
  );
