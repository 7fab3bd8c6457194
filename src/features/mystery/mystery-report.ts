import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { UserError } from "../../core/errors.js";
import { writeFile } from "../../core/files.js";
import { at } from "../../core/numeric/dense.js";
import { fitSources } from "../../inference/estimates/fit-sources.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { trialsCsv } from "../../io/trials/trials-csv.js";
import type { Job } from "../../model/job/job.js";
import { isAngular } from "../../model/source-id.js";
import { angleText, signed, smallLength } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import { textTable, wrapped } from "../../render/text.js";
import { hiddenFaults, MYSTERY_FILES, makeMystery } from "./make-mystery.js";
import { type Marked, type MarkedSource, type Marking, markAnswer, readAnswer } from "./mark-answer.js";
import { readMysteryCode } from "./mystery-job.js";

export interface MysteryFlags {
  readonly seed?: number;
  readonly pattern?: string;
  readonly faults: number;
  readonly out?: string;
  readonly mark?: string;
  readonly answer?: string;
  readonly giveUp?: boolean;
  readonly json?: boolean;
}

/** `sukima mystery --seed N` makes a shop with hidden faults and its trial cuts; `--mark FOLDER --answer FILE` marks an answer. */
export function mysteryCommand(flags: MysteryFlags): string {
  if (flags.mark !== undefined) return mark(flags.mark, flags);
  if (flags.seed === undefined)
    throw new UserError(
      "usage",
      "There is nothing to do: --seed makes a mystery, --mark marks an answer. Write for example --seed 7",
    );
  return make(flags.seed, flags);
}

function make(seed: number, { faults, pattern, out = `mystery-${seed}` }: MysteryFlags): string {
  if (existsSync(join(out, MYSTERY_FILES.job)))
    throw new UserError(
      "command",
      `There is a job in ${out} already; a mystery does not write over one. Name another --out.`,
    );
  const { job, readings } = makeMystery(out, { seed, faults, ...(pattern === undefined ? {} : { pattern }) });
  writeFile(join(out, "trials.csv"), trialsCsv(job, readings));
  return [
    `A mystery: ${out}. ${faults === 1 ? "One thing is" : `${faults} things are`} wrong with its jigs, stops or stock.`,
    `Look at ${out}/trials.csv (${readings.length} readings), write what you find into ${out}/${MYSTERY_FILES.answer}, then`,
    `  npx sukima mystery --mark ${out}`,
    "That tells the truth as well: answer first. npx sukima calibrate fits the readings for you; try without it first.",
  ].join("\n");
}

function mark(folder: string, { answer, giveUp, json }: MysteryFlags): string {
  const code = join(folder, MYSTERY_FILES.code);
  if (!existsSync(code))
    throw new UserError(
      "command",
      `${folder} is no mystery: it has no ${MYSTERY_FILES.code}. sukima mystery --seed 7 makes one.`,
    );
  const job = loadJob(folder);
  const key = { ...readMysteryCode(at(readFileSync(code, "utf8").split("\n"), 0)), pattern: job.pattern };
  const { sources } = fitSources(job, loadTrials(join(folder, "trials.csv"), job));
  const file = answer ?? join(folder, MYSTERY_FILES.answer);
  const said = readAnswer(file, sources);
  if (said.length === 0 && !giveUp)
    throw new UserError(
      "command",
      `There is no answer yet; marking tells the truth, so write what you think is wrong into ${file} first. --give-up shows the truth without.`,
    );
  const marking = markAnswer(sources, hiddenFaults(key), said);
  return json ? JSON.stringify(markingJson(marking), null, 1) : markingText(marking, job);
}

const WORDS: Readonly<Record<Marked, string>> = {
  found: "found",
  rough: "found, its size further off than the readings allow",
  "wrong-side": "found, but the wrong way",
  missed: "missed",
  "beyond-the-data": "missed, and the readings do not show it",
  right: "in order, and left alone",
  excusable: "in order; the readings would have allowed it",
  "false-alarm": "in order; the readings rule your answer out",
};

/** A marked answer for other programs: lengths in mm, angles in rad. */
export const markingJson = ({ sources, ...rest }: Marking): object => ({
  sources: sources.map(({ source: id, ...one }) => ({
    ...{ source: sourceText(id), id, angular: isAngular(id.kind), ...one },
  })),
  ...rest,
});

/** A marked answer, for reading. */
export function markingText({ sources, points, of }: Marking, job: Job): string {
  const row = (one: MarkedSource): string[] => {
    const text = (value: number): string =>
      value === 0
        ? "0"
        : signed(isAngular(one.source.kind) ? angleText(value) : smallLength(value, job.units));
    return [
      sourceText(one.source),
      text(one.truth),
      one.answer === null ? "" : text(one.answer),
      `${text(one.interval[0])} to ${text(one.interval[1])}`,
      WORDS[one.marked],
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
      "Two points for a cause found with its size, one for a cause found the right way, one off for what the readings rule out, the sum never under 0. A size is good when it lies within the interval, or as near to the truth as half its width. What no reading shows costs nothing.",
    ),
    ...hintLines(sources),
    "",
  ].join("\n");
}

function hintLines(sources: readonly MarkedSource[]): string[] {
  const outside = sources.filter(({ truth, interval: [low, high] }) => truth < low || truth > high);
  if (outside.length === 0) return [];
  const names = outside.map(({ source }) => sourceText(source)).join(", ");
  return [
    wrapped(
      `One 95 % interval in twenty misses the truth; here that of ${names} does: that is luck of the draw.`,
    ),
  ];
}
