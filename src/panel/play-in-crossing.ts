import { ASIDE, FAMILIES } from "../lattice/three-way-grid.js";
import type { RandomStream } from "../numeric/random-stream.js";

/** A strip of one family that stands aside by v takes the middle of its lap aside, as a strip of another family sees it, by v times the cosine of their angle. */
const CARRIED = FAMILIES.map((one) =>
  FAMILIES.map((other) => ASIDE[one].x * ASIDE[other].x + ASIDE[one].y * ASIDE[other].y),
);
/** Furthest that one strip of a crossing gets aside, the others as they must, by the play. */
const FURTHEST = 2 / 3;

/**
 * Draws where the three strips of a crossing lie in the play of their laps: how far each stands aside, by the play. A strip lies in the laps of both others, and takes its own laps along, so
 * that six must hold at once. Drawn evenly from a cube around all places where they do, and where that is beyond a lap, drawn back within along the way to the middle: the standard
 * deviation is 0.24 of the play (0.26 were all those places equally likely).
 *
 * @param out three numbers, within ±⅔.
 */
export function drawPlay(stream: RandomStream, out: Float64Array): void {
  for (let k = 0; k < 3; k++) out[k] = 2 * FURTHEST * (stream.uniform() - 0.5);
  const share = Math.cbrt(stream.uniform());
  let beyond = 1;
  for (let s = 0; s < 3; s++)
    for (let t = 0; t < 3; t++)
      if (s !== t) beyond = Math.max(beyond, 2 * Math.abs(out[t]! - CARRIED[s]![t]! * out[s]!));
  if (beyond > 1) for (let k = 0; k < 3; k++) out[k]! *= share / beyond;
}
