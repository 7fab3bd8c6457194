import type { PanelLaps } from "../job/panel.js";
import type { RandomStream } from "../numeric/random-stream.js";

type Places = Pick<PanelLaps, "way" | "place">;

/**
 * Covariance of the places of two laps of one strip, mm². Lap 0 is where the strip starts, and exact.
 * Against a stop: σ² for a lap with itself, else 0. Indexed from the lap before: σ²·min(k, l), a random walk.
 */
export function placeCovariance({ way, place }: Places, k: number, l: number): number {
  if (k === 0 || l === 0) return 0;
  if (way === "indexed") return place ** 2 * Math.min(k, l);
  return k === l ? place ** 2 : 0;
}

/**
 * Covariance of the pitches from lap c to c + 1 and from lap d to d + 1, mm².
 * Against a stop 2σ² for a pitch with itself (σ² for the first), −σ² with its neighbour, else 0; indexed σ² with itself, else 0.
 */
export function pitchCovariance(laps: Places, c: number, d: number): number {
  const between = (k: number, l: number): number => placeCovariance(laps, k, l);
  return between(c + 1, d + 1) - between(c + 1, d) - between(c, d + 1) + between(c, d);
}

/** Standard deviation of the length from the start of a strip to its lap n, mm: σ against a stop, σ√n indexed. */
export const lengthDeviation = (laps: Places, n: number): number => Math.sqrt(placeCovariance(laps, n, n));

/** Draws the places of laps 1 … n of one strip, mm from where they should be, into `out` behind its start at `from`. */
export function drawPlaces(
  stream: RandomStream,
  { way, place }: Places,
  out: Float64Array,
  from: number,
  n: number,
): void {
  for (let lap = 1; lap <= n; lap++) {
    const error = place * stream.normal();
    out[from + lap] = way === "indexed" ? out[from + lap - 1]! + error : error;
  }
}
