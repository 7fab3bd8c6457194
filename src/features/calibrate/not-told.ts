import type { Calibration } from "../../inference/calibrate-job.js";
import { separatingReadings, signReadings } from "../../inference/design/telling-readings.js";
import { untoldSignTexts } from "../../render/shared-text.js";
import { markdownText } from "../../render/text.js";
import { separatingText, signReadingsText } from "../plan/index.js";
import { unseparatedText } from "./card/set-up-card.js";

/** What the readings do not tell, a sign or a source, and the one reading that would tell most of it, as a Markdown list. */
export function notToldText({ job, fit }: Calibration): string {
  const lines = [
    ...untoldSignTexts(fit.sources, job),
    ...signReadingsText(signReadings(job, fit), fit, job),
    ...fit.unseparated.map(unseparatedText),
    ...separatingText(separatingReadings(job, fit)),
  ];
  if (lines.length === 0) return "The readings tell every error apart.";
  return lines.map((line) => `- ${markdownText(line)}`).join("\n");
}
