import { existsSync } from "node:fs";
import { join } from "node:path";
import { UserError } from "../../core/errors.js";
import { writeFile } from "../../core/files.js";
import { TRIALS_FILE } from "../../io/files.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { trialsCsv } from "../../io/trials/trials-csv.js";
import type { Reading } from "../../model/readings.js";
import { MYSTERY_FILES, type Mystery } from "./make-mystery.js";
import { BUDGET, priceOf } from "./mystery-plan.js";

/** The readings that a folder's table has, in the order of the mystery's own; none where the table is empty. */
export function boughtReadings(folder: string, { job, readings }: Mystery): Reading[] {
  const file = join(folder, TRIALS_FILE);
  const had = new Set((existsSync(file) ? loadTrials(file, job) : []).map(({ id }) => id));
  return readings.filter(({ id }) => had.has(id));
}

export const spentOn = (readings: readonly Pick<Reading, "what" | "bench">[]): number =>
  readings.reduce((sum, reading) => sum + priceOf(reading), 0);

/**
 * Buys readings of a mystery with a budget and writes them into its table.
 *
 * @param wanted ids of the menu, separated by commas or spaces.
 * @throws UserError (code "mystery") for an id that the menu does not have, one that is bought already, or more than what is left of the budget.
 */
export function buyReadings(folder: string, mystery: Mystery, wanted: string): string {
  const { key, job, readings } = mystery;
  if (key.level !== "budget")
    throw new UserError(
      "mystery",
      `${folder} has all its readings already; only a mystery with --level budget sells them.`,
    );
  const ids = [...new Set(wanted.split(/[\s,]+/).filter((id) => id !== ""))];
  const had = boughtReadings(folder, mystery);
  const chosen = ids.map((id) => {
    const found = readings.find((reading) => reading.id === id);
    if (!found)
      throw new UserError(
        "mystery",
        `There is no reading “${id}” to buy; ${join(folder, MYSTERY_FILES.menu)} lists them.`,
      );
    if (had.includes(found))
      throw new UserError("mystery", `“${id}” is bought already; it is in ${TRIALS_FILE}.`);
    return found;
  });
  const left = BUDGET - spentOn(had);
  const price = spentOn(chosen);
  if (price > left)
    throw new UserError(
      "mystery",
      `These readings cost ${pointsText(price)} and ${pointsText(left)} of ${BUDGET} are left; buy fewer.`,
    );
  const all = readings.filter((reading) => had.includes(reading) || chosen.includes(reading));
  writeFile(join(folder, TRIALS_FILE), trialsCsv(job, all));
  return `${chosen.length} ${chosen.length === 1 ? "reading" : "readings"} bought for ${pointsText(price)}; they are in ${join(folder, TRIALS_FILE)}. ${pointsText(left - price)} of ${BUDGET} left.`;
}

const pointsText = (points: number): string => `${points} ${points === 1 ? "point" : "points"}`;
