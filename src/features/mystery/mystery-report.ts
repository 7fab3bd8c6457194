import { existsSync } from "node:fs";
import { join } from "node:path";
import { given } from "../../cli/arguments.js";
import { UserError } from "../../core/errors.js";
import { writeFolder } from "../../core/files.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import { JOB_FILES, TRIALS_FILE } from "../../io/files.js";
import { buyReadings } from "./buy-readings.js";
import { CLASS_FOLDERS, classKit, MOST_OF_CLASS } from "./class-kit.js";
import { hiddenFaults, MYSTERY_FILES, makeMystery, mysteryOf } from "./make-mystery.js";
import { classFolders, markClass } from "./mark-class.js";
import { markFolder, markingJson, markingText, openMystery } from "./mark-mystery.js";
import { type MysteryLevel, wrongText } from "./mystery-job.js";
import { BUDGET } from "./mystery-plan.js";

export interface MysteryFlags {
  readonly seed?: number;
  readonly pattern?: string;
  readonly units?: LengthUnit;
  readonly faults: number;
  readonly level?: MysteryLevel;
  readonly count?: number;
  readonly out?: string;
  readonly mark?: string;
  readonly buy?: string;
  readonly readings?: string;
  readonly answer?: string;
  readonly giveUp?: boolean;
  readonly json?: boolean;
}

/** `sukima mystery --seed N` makes a shop with hidden faults and its trial cuts, with `--count` a whole class; `--mark FOLDER` marks an answer, or those of a class; `--buy FOLDER` buys readings. */
export function mysteryCommand(flags: MysteryFlags): string {
  if (flags.mark !== undefined)
    return classFolders(flags.mark).length > 0
      ? markClass(flags.mark, flags.json === true)
      : mark(flags.mark, flags);
  if (flags.buy !== undefined) return buy(flags.buy, flags.readings);
  if (flags.seed === undefined)
    throw new UserError(
      "usage",
      "There is nothing to do: --seed makes a mystery, --mark marks an answer. Write for example --seed 7",
    );
  return flags.count === undefined ? make(flags.seed, flags) : makeClass(flags.seed, flags.count, flags);
}

function make(
  seed: number,
  { faults, pattern, units, level, out = `mystery-${seed}` }: MysteryFlags,
): string {
  if (
    [...JOB_FILES, TRIALS_FILE, ...Object.values(MYSTERY_FILES)].some((name) => existsSync(join(out, name)))
  )
    throw new UserError(
      "command",
      `There is a job in ${out} already; a mystery does not write over one. Name another --out.`,
    );
  const { key, readings } = makeMystery(out, { seed, faults, ...given({ pattern, units, level }) });
  const wrong = `${wrongText(faults)} with its jigs, stops or stock.`;
  const look =
    level === "budget"
      ? [
          `${out}/${MYSTERY_FILES.menu} lists ${readings.length} readings; you have ${BUDGET} points to buy some of them:`,
          `  npx sukima mystery --buy ${out} --readings ${readings[0]?.id ?? "m01"},${readings[1]?.id ?? "m02"}`,
          `Write what you find into ${out}/${MYSTERY_FILES.answer}, then`,
        ]
      : [
          `Look at ${out}/${TRIALS_FILE} (${readings.length} readings), write what you find into ${out}/${MYSTERY_FILES.answer}, then`,
        ];
  return [
    `A mystery: ${out}. ${wrong}`,
    ...look,
    `  npx sukima mystery --mark ${out}`,
    "That tells the truth as well: answer first. npx sukima calibrate fits the readings for you; try without it first.",
    ...(key.level !== undefined && hiddenFaults(key).length > 1
      ? ["Every one of the faults shows in the readings of this level."]
      : []),
  ].join("\n");
}

function makeClass(seed: number, count: number, flags: MysteryFlags): string {
  const { faults, pattern, units, level = "feeler", out = `class-${seed}` } = flags;
  if (!(Number.isInteger(count) && count >= 1 && count <= MOST_OF_CLASS))
    throw new UserError("usage", `--count is a whole number from 1 to ${MOST_OF_CLASS}; got ${count}.`);
  if (existsSync(out))
    throw new UserError(
      "command",
      `${out} is there already; a class gets a folder of its own. Name another --out.`,
    );
  const { files } = classKit({ seed, faults, level, ...given({ pattern, units }) }, count);
  writeFolder(out, files);
  return [
    `A class of ${count} ${count === 1 ? "mystery" : "mysteries"} (level ${level}): ${out}.`,
    `  ${out}/${CLASS_FOLDERS.students}/sheets.html   the sheets to print`,
    `  ${out}/${CLASS_FOLDERS.students}/mystery-…     a folder for each, for those who work with files`,
    `  ${out}/${CLASS_FOLDERS.teacher}/answers.html   the answers; keep this folder to yourself`,
    `Answers go into the ${MYSTERY_FILES.answer} of each folder. npx sukima mystery --mark ${out} marks all of them in one table.`,
  ].join("\n");
}

function buy(folder: string, wanted: string | undefined): string {
  if (wanted === undefined)
    throw new UserError("usage", "--buy needs to know what. Write for example --readings m01,m02");
  const { key } = openMystery(folder);
  return buyReadings(folder, mysteryOf(key), wanted);
}

function mark(folder: string, { answer, giveUp, json }: MysteryFlags): string {
  const marked = markFolder(openMystery(folder), { answer, whyMissed: true });
  if (!marked.answered && !giveUp)
    throw new UserError(
      "command",
      `There is no answer yet; marking tells the truth, so write what you think is wrong into ${answer ?? join(folder, MYSTERY_FILES.answer)} first. --give-up shows the truth without.`,
    );
  return json ? JSON.stringify(markingJson(marked), null, 1) : markingText(marked);
}
