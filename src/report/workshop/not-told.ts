import type { Calibration } from "../../calibrate/calibrate-job.js";
import { separatingReadings } from "../../plan/separating-readings.js";
import { settlingReadings } from "../../plan/settling-readings.js";
import { unseparatedText } from "../card/set-up-card.js";
import { markdownText } from "../text/markdown-text.js";
import { untoldSignTexts } from "../text/two-sided-text.js";
import { separatingText } from "./separating-text.js";
import { settlingText } from "./settling-text.js";

/** What the readings do not tell, a sign or a source, and the one reading that would tell most of it, as a Markdown list. */
export function notToldText({ job, fit }: Calibration): string {
  const lines = [
    ...untoldSignTexts(fit.sources, job),
    ...settlingText(settlingReadings(job, fit), fit, job),
    ...fit.unseparated.map(unseparatedText),
    ...separatingText(separatingReadings(job, fit)),
  ];
  if (lines.length === 0) return "The readings tell every error apart.";
  return lines.map((line) => `- ${markdownText(line)}`).join("\n");
}
