import type { RandomStream } from "../numeric/random-stream.js";
import type { Reading } from "../readings/reading.js";

/** A gross mistake is off by this much, either way, evenly: mm, and rad for angles (1° to 5°). */
export const MISTAKE = { length: [0.1, 0.5], angle: [Math.PI / 180, (5 * Math.PI) / 180] } as const;

/** Replaces a share of the readings with values, rounded to whole readings and chosen at random, by gross mistakes as {@link MISTAKE} has them. */
export function makeMistakes(readings: readonly Reading[], share: number, stream: RandomStream): Reading[] {
  const out = [...readings];
  const left = out.flatMap(({ value }, i) => (value === null ? [] : [i]));
  for (let wanted = Math.round(share * left.length); wanted > 0; wanted--) {
    const [place] = left.splice(stream.integer(left.length), 1);
    const { value, what } = out[place!]!;
    const [least, most] = what === "angle" ? MISTAKE.angle : MISTAKE.length;
    const size = least + (most - least) * stream.uniform();
    out[place!] = { ...out[place!]!, value: value! + (stream.uniform() < 0.5 ? -size : size) };
  }
  return out;
}

/** What must not be done: "nothing goes in" written down as a gap of exactly zero. */
export const closedAsZero = (readings: readonly Reading[]): Reading[] =>
  readings.map((reading) =>
    reading.what === "gap" && reading.low === Number.NEGATIVE_INFINITY
      ? { ...reading, value: 0, low: null, high: null }
      : reading,
  );
