import type { SourceFit } from "../../calibrate/fit-sources.js";
import type { Job } from "../../job/job.js";
import type { SettlingReading } from "../../plan/settling-readings.js";
import { angleText, chanceText, pieceLength, smallLength } from "../text/shop-numbers.js";
import { signWords } from "../text/two-sided-text.js";
import { placeText, readingsText, sampleText } from "./plan-words.js";

/** One sentence for each sign that is not told: the one reading that would tell it, and how to read it. */
export function settlingText(
  found: readonly SettlingReading[],
  { sources }: Pick<SourceFit, "sources">,
  job: Pick<Job, "units">,
): string[] {
  return found.map(({ source: name, reading, station, above, below, right }) => {
    const source = sources.find((one) => one.name === name)!;
    const of =
      source.kind === "lean" ? `which way the ramp of ${source.of} leans` : `which way the ${name} is off`;
    const who = source.kind === "lean" ? "its cuts stand " : "it is ";
    const words = signWords(source);
    const read = (value: number): string =>
      shownText(value, station.instrument.leaves[0] ?? 0, reading.what, job);
    const what = `${sampleText(station.sample)}, ${placeText(station.bench)}, ${station.instrument.name} (${readingsText([reading])})`;
    return `To tell ${of}, one reading does most: ${what}. Where ${who}${words[0]}, ${read(above)}; where ${words[1]}, ${read(below)}. It tells rightly with a chance of ${chanceText(Math.min(right, NOT_CERTAIN))}.`;
  });
}

/** No reading is: it may be misread. */
const NOT_CERTAIN = 1 - 1e-9;

/** What an instrument is expected to show, mm or rad. */
function shownText(value: number, least: number, what: string, { units }: Pick<Job, "units">): string {
  if (what === "angle") return `about ${angleText(value)}`;
  if (what !== "gap") return `about ${pieceLength(value, units)}`;
  return value <= least ? "nothing goes in" : `about ${smallLength(value, units)} goes in`;
}
