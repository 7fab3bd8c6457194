import { at } from "../../core/numeric/dense.js";
import type { SeparatingReading, SignReading } from "../../inference/design/informative-readings.js";
import { MOST_TRIALS, type Safety } from "../../inference/design/plan-safety.js";
import type { Sample } from "../../inference/design/station.js";
import type { Job } from "../../model/job/job.js";
import { isAngleReading, type Reading, type ReadQuantity } from "../../model/readings.js";
import type { SourceKind } from "../../model/source-id.js";
import {
  type CellOfJob,
  endText,
  readQuantityText,
  signWords,
  subjectNamer,
} from "../../render/shared-text.js";
import { angleText, chanceText, pieceLength, smallLength } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";

/** What is cut for a trial. */
export function sampleText(sample: Sample): string {
  if (sample.kind === "set-up") return `a trial piece cut at ${sample.setUp}`;
  if (sample.kind === "jig") return `the jig ${sample.jig} itself`;
  return sample.kind === "piece" ? `one whole ${sample.piece}` : "a whole cell";
}

/** Where a trial is judged. */
export const placeText = (bench: Reading["bench"]): string =>
  bench === "none" ? "measured alone" : bench === "cell" ? "put together" : `on ${bench}`;

/** Readings of one station, the quantity named once: `angle of start-left, end-left; length of hinge-1`. */
export function readingsText(readings: readonly Reading[], job: CellOfJob): string {
  const named = subjectNamer(job);
  const kinds = [...new Set(readings.map(({ what }) => what))];
  return kinds
    .map((what) => {
      const own = readings.filter((reading) => reading.what === what);
      const subjects = own.map((reading) => `${named(reading)}${reading.at ? ` (${endText(reading)})` : ""}`);
      return what === "ramp" ? "angle of the ramp" : `${readQuantityText(what)} of ${subjects.join(", ")}`;
    })
    .join("; ");
}

/** Whether the verdict is safe, and how many pieces would make it so. */
export function safetyText(
  { sure, now, afterPlan, piecesNeeded, trialsNeeded }: Safety,
  planned: number,
): string {
  const wanted = `The advice is safe when there is a ${chanceText(sure)} chance that more measuring would not change it.`;
  const standing = `That chance is ${chanceText(now)} now${planned > 0 ? ` and would be ${chanceText(afterPlan)} after these trial pieces` : ""}.`;
  if (piecesNeeded === 0) return `${wanted} ${standing} It is safe now.`;
  if (piecesNeeded === null)
    return `${wanted} ${standing} More trial pieces alone would not help (${MOST_TRIALS} were tried): use finer instruments, or cut more evenly.`;
  return `${wanted} ${standing} It takes about ${piecesNeeded} ${piecesNeeded === 1 ? "piece" : "pieces"} in ${trialsNeeded} ${trialsNeeded === 1 ? "trial" : "trials"}.`;
}

const percent = (share: number): string => `${Math.round(100 * share)} %`;

/** One sentence for each thing that the readings do not tell: the one reading that would. */
export function separatingText(found: readonly SeparatingReading[], job: CellOfJob): string[] {
  return found.map(({ combination, reading, station, now, after }) => {
    const names = combination.weights.map(({ source }) => `the ${sourceText(source)}`);
    const about =
      names.length === 1 ? at(names, 0) : `${names.slice(0, -1).join(", ")} and ${names.at(-1)} apart`;
    const what = `${sampleText(station.sample)}, ${placeText(station.bench)}, ${station.instrument.name} (${readingsText([reading], job)})`;
    return `To tell ${about}, one reading would help most: ${what}. It would leave about ${percent(after)} of the uncertainty you started with; now ${percent(now)} is left.`;
  });
}

/** Who the words of a sign are said of. */
const WHO: Readonly<Partial<Record<SourceKind, string>>> = {
  lean: "its cuts stand ",
  ramp: "it ",
};

/** One sentence for each sign that is not told: the one reading that would tell it, and how to read it. */
export function signReadingsText(
  found: readonly SignReading[],
  job: CellOfJob & Pick<Job, "units">,
): string[] {
  return found.map(({ source, reading, station, above, below, right }) => {
    const of =
      source.kind === "lean"
        ? `which way the ${sourceText({ kind: "ramp", of: source.of })} leans`
        : `which way the ${sourceText(source)} is off`;
    const who = (source.round === undefined ? WHO[source.kind] : undefined) ?? "it is ";
    const words = signWords(source);
    const read = (value: number): string =>
      shownText(value, station.instrument.leaves[0] ?? 0, reading.what, job);
    const what = `${sampleText(station.sample)}, ${placeText(station.bench)}, ${station.instrument.name} (${readingsText([reading], job)})`;
    return `To tell ${of}, one reading helps most: ${what}. Where ${who}${words[0]}, ${read(above)}; where ${words[1]}, ${read(below)}. It gives the right answer with a chance of ${chanceText(Math.min(right, NOT_CERTAIN))}.`;
  });
}

/** No reading is: it may be misread. */
const NOT_CERTAIN = 1 - 1e-9;

/** What an instrument is expected to show, mm or rad. */
function shownText(value: number, least: number, what: ReadQuantity, { units }: Pick<Job, "units">): string {
  if (isAngleReading(what)) return `about ${angleText(value)}`;
  if (what !== "gap") return `about ${pieceLength(value, units)}`;
  return value <= least ? "nothing goes in" : `about ${smallLength(value, units)} goes in`;
}
