import type { Job } from "../../job/job.js";
import { smallLength } from "./shop-numbers.js";

/** What a cell must keep to close, in short: `gap ≤ 0.080 mm, press ≤ 0.040 mm`. */
export function closingRule({ limits, lengths, units }: Pick<Job, "limits" | "lengths" | "units">): string {
  const [gap, snug] = [smallLength(limits.gap, units), smallLength(limits.snug, units)];
  return lengths === "fitted"
    ? `gap ≤ ${gap}, each piece fitted to ${snug} press`
    : `gap ≤ ${gap}, press ≤ ${snug}`;
}

/** Said where moves are weighed on cells whose pieces are fitted by trial. */
export const fittedNote = ({ limits, units }: Pick<Job, "limits" | "units">): string =>
  `Each piece fitted by trial to ${smallLength(limits.snug, units)} press: pieces start as the stops cut them and are shortened until they go in; those too short stay as they are, and are scrap where they leave a gap over the limit. So a stop may be better a little long than right. Readings of trial pieces are of pieces as cut.`;
