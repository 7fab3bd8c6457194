import type { Job } from "../../job/job.js";
import { pieceLength } from "./shop-numbers.js";

const OWN_KEYS = ["opening", "strip", "seat-share"];

/** The cell of a job: `diamond, opening 60.00 mm, height 45.00 mm, strip 3.00 mm`. */
export function cellText({ pattern, patternSizes, opening, strip, units }: Job): string {
  const further = Object.entries(patternSizes).filter(([name]) => !OWN_KEYS.includes(name));
  return [
    `${pattern}, opening ${pieceLength(opening, units)}`,
    ...further.map(([name, value]) => `${name} ${pieceLength(value, units)}`),
    `strip ${pieceLength(strip, units)}`,
  ].join(", ");
}
