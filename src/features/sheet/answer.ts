import { planTrials } from "../../inference/design/plan-trials.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { trialsCsv } from "../../io/trials/trials-csv.js";
import { COVERAGE, smallLength } from "../../render/shop-numbers.js";
import {
  calibrateFolder,
  cardSheet,
  nextRoundText,
  printedCalibration,
  readingsToTake,
  type SetUpCard,
  setUpCard,
  sheetHtml,
  today,
} from "../calibrate/index.js";

/** What the readings in a folder come to, ready to be shown. */
export interface SheetAnswer {
  /** What `sukima calibrate --details` prints of the same folder with the same seed. */
  readonly printed: string;
  readonly card: SetUpCard;
  /** The card as a page of its own, as `sukima card` writes it. */
  readonly page: string;
  /** The readings that would tell most of what these leave open, a sentence each. */
  readonly next: readonly string[];
  /** What is to be added to the job once the moves are made, as YAML; empty where nothing is moved. */
  readonly round: string;
  /** How long the page waited for it, s; set by the page. */
  readonly seconds?: number;
}

/**
 * Fit, decision and card of a folder.
 *
 * @param seed an integer ≥ 0
 * @throws JobError, UserError as `sukima calibrate` does
 */
export function sheetAnswer(folder: string, seed: number, onProgress: (step: string) => void): SheetAnswer {
  const calibration = calibrateFolder(folder, seed, onProgress);
  onProgress("writing the card");
  const { signs, separating } = readingsToTake(calibration, seed);
  return {
    printed: printedCalibration(calibration, seed),
    card: setUpCard(calibration, today()),
    page: sheetHtml(cardSheet(calibration.job, calibration, today()), calibration.job),
    next: [...signs, ...separating],
    round: roundOf(nextRoundText(calibration)),
  };
}

/** The lines to add, without the sentence before them. */
function roundOf(text: string): string {
  const lines = text.split("\n");
  const start = lines.findIndex((line) => /^(?:rounds:| {2}[^\s].*:)$/.test(line));
  if (start < 0) return "";
  const own = lines.slice(start).join("\n");
  return own.startsWith("rounds:") ? own : `rounds:\n${own}`;
}

/** The trial pieces to cut next. */
export interface SheetPlan {
  /** Rows for the table of trials, still without what is read. */
  readonly table: string;
  /** What is known after each trial, by its name. */
  readonly notes: Readonly<Record<string, string>>;
  /** How long it takes, and where it leads. */
  readonly says: string;
}

/**
 * The plan of `sukima plan` for a folder.
 *
 * @throws JobError, UserError as `sukima plan` does
 */
export function sheetPlan(folder: string, seed: number, onProgress: (step: string) => void): SheetPlan {
  const job = loadJob(folder);
  const plan = planTrials(job, loadTrials(folder, job), { seed, onProgress });
  const known = (gap: number): string => `± ${smallLength(COVERAGE.factor * gap, job.units)}`;
  return {
    table: trialsCsv(job, plan.readings),
    notes: Object.fromEntries(
      plan.trials.map(({ trial, option: { minutes, pieces }, gapAfter }) => [
        trial,
        `About ${Math.ceil(minutes)} minutes, ${pieces} ${pieces === 1 ? "piece" : "pieces"}. Then the widest gap of a cell is known to ${known(gapAfter)}.`,
      ]),
    ),
    says:
      plan.trials.length === 0
        ? "No trial piece that this shop can cut and read would add to what is known already."
        : `${plan.trials.length} trial pieces, about ${Math.ceil(plan.minutes)} minutes. The widest gap of a cell is known to ${known(plan.gapBefore)} now.`,
  };
}
