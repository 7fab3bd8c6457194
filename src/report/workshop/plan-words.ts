import { MOST_TRIALS, type Safety } from "../../plan/plan-safety.js";
import type { Sample } from "../../plan/station.js";
import type { Reading } from "../../readings/reading.js";
import { chanceText } from "../text/shop-numbers.js";
import { endText, subjectText } from "../text/subject-text.js";

/** What is cut for a trial. */
export function sampleText(sample: Sample): string {
  if (sample.kind === "set-up") return `a trial piece cut at ${sample.setUp}`;
  return sample.kind === "piece" ? `one whole ${sample.piece}` : "a whole cell";
}

/** Where a trial is judged. */
export const placeText = (bench: Reading["bench"]): string =>
  bench === "none" ? "in the hand" : bench === "cell" ? "put together" : `on ${bench}`;

/** Readings of one station, the quantity named once: `angle of start-left, end-left; length of hinge-1`. */
export function readingsText(readings: readonly Reading[]): string {
  const kinds = [...new Set(readings.map(({ what }) => what))];
  return kinds
    .map((what) => {
      const own = readings.filter((reading) => reading.what === what);
      const named = own.map(
        (reading) => `${subjectText(reading)}${reading.at ? ` (${endText(reading)})` : ""}`,
      );
      return `${what} of ${named.join(", ")}`;
    })
    .join("; ");
}

/** Whether the verdict is safe, and how many pieces would make it so. */
export function safetyText(
  { sure, now, afterPlan, piecesNeeded, trialsNeeded }: Safety,
  planned: number,
): string {
  const wanted = `The verdict counts as safe when, with a chance of ${chanceText(sure)}, knowing every error exactly would not make another setting worth its cost.`;
  const standing = `That chance is ${chanceText(now)} now${planned > 0 ? ` and would be ${chanceText(afterPlan)} after these trials` : ""}.`;
  if (piecesNeeded === 0) return `${wanted} ${standing} It is safe now.`;
  if (piecesNeeded === null)
    return `${wanted} ${standing} ${MOST_TRIALS} trials do not make it safe: finer instruments or less scatter from cut to cut would.`;
  return `${wanted} ${standing} It takes about ${piecesNeeded} ${piecesNeeded === 1 ? "piece" : "pieces"} in ${trialsNeeded} ${trialsNeeded === 1 ? "trial" : "trials"}.`;
}
