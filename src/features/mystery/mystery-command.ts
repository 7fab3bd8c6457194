import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { CliError, UsageError } from "../../core/errors.js";
import { writeFile } from "../../core/files/write-files.js";
import { fitSources } from "../../inference/estimates/fit-sources.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { trialsCsv } from "../../io/trials/trials-csv.js";
import { hiddenFaults, MYSTERY_FILES, makeMystery } from "./make-mystery.js";
import { markAnswer, readAnswer } from "./mark-answer.js";
import { readMysteryCode } from "./mystery-job.js";
import { markingText } from "./mystery-text.js";

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
    throw new UsageError(
      "There is nothing to do: --seed makes a mystery, --mark marks an answer. Write for example --seed 7",
    );
  return make(flags.seed, flags);
}

function make(seed: number, { faults, pattern, out = `mystery-${seed}` }: MysteryFlags): string {
  if (existsSync(join(out, MYSTERY_FILES.job)))
    throw new CliError(
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
    throw new CliError(
      `${folder} is no mystery: it has no ${MYSTERY_FILES.code}. sukima mystery --seed 7 makes one.`,
    );
  const job = loadJob(folder);
  const key = { ...readMysteryCode(readFileSync(code, "utf8").split("\n")[0]!), pattern: job.pattern };
  const { sources } = fitSources(job, loadTrials(join(folder, "trials.csv"), job));
  const file = answer ?? join(folder, MYSTERY_FILES.answer);
  const said = readAnswer(file, sources);
  if (said.length === 0 && !giveUp)
    throw new CliError(
      `There is no answer yet; marking tells the truth, so write what you think is wrong into ${file} first. --give-up shows the truth without.`,
    );
  const marking = markAnswer(sources, hiddenFaults(key), said);
  return json ? JSON.stringify(marking, null, 1) : markingText(marking, job);
}
