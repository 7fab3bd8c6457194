import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import { fitSources, type SourceEstimate } from "../../inference/estimates/fit-sources.js";
import { jobPosterior } from "../../inference/job-posterior.js";
import { TRIALS_FILE } from "../../io/files.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import type { Job } from "../../model/job/job.js";
import { isAngular } from "../../model/source-id.js";
import { angleText, signed, smallLength } from "../../render/shop-numbers.js";
import { capitalised, sourceText } from "../../render/source-text.js";
import { textTable, wrapped } from "../../render/text.js";
import { boughtReadings } from "./buy-readings.js";
import { hiddenFaults, MYSTERY_FILES, mysteryOf } from "./make-mystery.js";
import { type Marked, type MarkedSource, type Marking, markAnswer, readAnswer } from "./mark-answer.js";
import { type MysteryKey, readMysteryCode } from "./mystery-job.js";
import { type MissShares, missShares } from "./why-missed.js";

/** A mystery's folder as it stands. */
export interface MysteryFolder {
  readonly folder: string;
  readonly job: Job;
  readonly key: MysteryKey;
}

/** @throws UserError (code "command") for a folder that is no mystery. */
export function openMystery(folder: string): MysteryFolder {
  const code = join(folder, MYSTERY_FILES.code);
  if (!existsSync(code))
    throw new UserError(
      "command",
      `${folder} is no mystery: it has no ${MYSTERY_FILES.code}. sukima mystery --seed 7 makes one.`,
    );
  const job = loadJob(folder);
  const known = readMysteryCode(at(readFileSync(code, "utf8").split("\n"), 0));
  return { folder, job, key: { ...known, pattern: job.pattern, units: job.units } };
}

/** An answer with its marks, and why intervals miss the truth where some do. */
export interface MarkedMystery extends MysteryFolder {
  readonly name: string;
  /** Whether anything was answered. */
  readonly answered: boolean;
  readonly marking: Marking;
  readonly misses: readonly MissShares[];
}

/**
 * Marks the answer in a mystery's folder, or in another file.
 *
 * @param whyMissed whether it is worked out why intervals miss the truth; that takes two more fits.
 */
export function markFolder(
  opened: MysteryFolder,
  { answer, whyMissed }: { readonly answer?: string | undefined; readonly whyMissed: boolean },
): MarkedMystery {
  const { folder, job, key } = opened;
  const readings =
    key.level === "budget"
      ? boughtReadings(folder, mysteryOf(key))
      : loadTrials(join(folder, TRIALS_FILE), job);
  const { fit } = jobPosterior(job, readings);
  const { sources } = fit ?? fitSources(job, []);
  const { name, faults } = readAnswer(answer ?? join(folder, MYSTERY_FILES.answer), sources);
  const truth = hiddenFaults(key);
  const marking = markAnswer(sources, truth, faults, { readable: key.level === "budget" });
  const outside = marking.sources.filter(isOutside).map(({ source }) => source);
  const misses =
    whyMissed && outside.length > 0
      ? missShares({ key, job }, readings, sources as SourceEstimate[], outside)
      : [];
  return { ...opened, name, answered: faults.length > 0, marking, misses };
}

const isOutside = ({ truth, interval: [low, high] }: MarkedSource): boolean => truth < low || truth > high;

/** What a mark is called. */
const MARK_WORDS: Readonly<Record<Marked, string>> = {
  found: "found",
  rough: "found, its size further off than the readings allow",
  "wrong-side": "found, but the wrong way",
  missed: "missed",
  "beyond-the-data": "missed, and the readings do not show it",
  "not-read": "missed; the readings that were bought do not show it",
  right: "in order, and left alone",
  excusable: "in order; the readings would have allowed it",
  "false-alarm": "in order; the readings rule your answer out",
};

/** A marked answer for other programs: lengths in mm, angles in rad. */
export const markingJson = ({ marking: { sources, ...rest }, misses }: MarkedMystery): object => ({
  sources: sources.map(({ source: id, ...one }) => ({
    source: sourceText(id),
    id,
    angular: isAngular(id.kind),
    ...one,
  })),
  ...rest,
  misses: misses.map(({ source, ...one }) => ({ source: sourceText(source), ...one })),
});

/** The size of an error as a shop writes it, with its sign. */
export const errorSizeText = (
  { kind }: { readonly kind: string },
  value: number,
  { units }: Pick<Job, "units">,
): string =>
  value === 0
    ? "0"
    : signed(
        isAngular(kind as Parameters<typeof isAngular>[0]) ? angleText(value) : smallLength(value, units),
      );

/** A marked answer, for reading. */
export function markingText({ marking: { sources, points, of }, misses, job }: MarkedMystery): string {
  const row = (one: MarkedSource): string[] => {
    const text = (value: number): string => errorSizeText(one.source, value, job);
    return [
      sourceText(one.source),
      text(one.truth),
      one.answer === null ? "" : text(one.answer),
      `${text(one.interval[0])} to ${text(one.interval[1])}`,
      MARK_WORDS[one.marked],
      one.of > 0 || one.points !== 0 ? String(one.points).replace("-", "−") : "",
    ];
  };
  return [
    `${points} of ${of} points`,
    "",
    textTable(
      ["cause", "truth", "your answer", "the readings tell (95 %)", "marked", "points"],
      sources.map(row),
      [1, 2, 3, 5],
    ),
    "",
    wrapped(
      "Two points for a cause found with its size, one for one found the right way, one off for what the readings rule out. What no reading shows costs nothing (docs/teaching.md).",
    ),
    ...misses.flatMap((miss) => ["", ...whyLines(miss, job)]),
    "",
  ].join("\n");
}

/** Why one interval misses the truth, largest share first, and what would mend it. */
export function whyLines(
  { source, truth, estimate, ...shares }: MissShares,
  job: Pick<Job, "units">,
): string[] {
  const text = (value: number): string => errorSizeText(source, value, job);
  const parts = [
    {
      size: shares.pieces,
      says: "the pieces that were read, which happen to be off more to one side than to the other",
      mend: "More pieces would even that out; reading the same ones again would not.",
    },
    {
      size: shares.instruments,
      says: "the instruments, which happened to read these pieces to one side",
      mend: "Reading the same pieces again would even that out.",
    },
    {
      size: shares.before,
      says: "what would be left with perfect pieces and instruments: the width of leaves and steps, other causes that look alike, and what is believed of the shop before any reading, which pulls towards no error",
      mend: "Another kind of reading would tell apart the causes that look alike.",
    },
  ].sort((a, b) => Math.abs(b.size) - Math.abs(a.size));
  const way = Math.sign(estimate - truth);
  const pulling = parts.filter(
    ({ size }) => Math.sign(size) === way && Math.abs(size) > 0.1 * Math.abs(estimate - truth),
  );
  const named = pulling.map(({ size, says }) => `${text(size)} comes from ${says}`);
  return [
    wrapped(
      `${capitalised(sourceText(source))}: the interval misses the truth. The estimate is ${text(estimate)}, the truth ${text(truth)}, a difference of ${text(estimate - truth)}. Of this, ${named.join("; ")}. ${pulling[0]?.mend ?? ""}`,
    ),
  ];
}
