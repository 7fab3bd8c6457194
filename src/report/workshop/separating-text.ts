import type { SeparatingReading } from "../../plan/separating-readings.js";
import { placeText, readingsText, sampleText } from "./plan-words.js";

const percent = (share: number): string => `${Math.round(100 * share)} %`;

/** One sentence for each thing that the readings do not tell: the one reading that would. */
export function separatingText(found: readonly SeparatingReading[]): string[] {
  return found.map(({ combination, reading, station, now, after }) => {
    const names = combination.weights.map(({ source }) => `the ${source}`);
    const about =
      names.length === 1 ? names[0]! : `${names.slice(0, -1).join(", ")} and ${names.at(-1)} apart`;
    const what = `${sampleText(station.sample)}, ${placeText(station.bench)}, ${station.instrument.name} (${readingsText([reading])})`;
    return `To tell ${about}, one reading would do most: ${what}. It would leave about ${percent(after)} of the first spread; now it is ${percent(now)}.`;
  });
}
