import type { Job } from "./job.js";

const OWN_KEYS = ["opening", "strip", "seat-share"];

/**
 * What a stop's record says of its cell beside opening and strip: the pattern and its further sizes, `diamond, height 45 mm`. `undefined` of a square asanoha,
 * which has none.
 */
export function cellOfRecord({
  pattern,
  patternSizes,
}: Pick<Job, "pattern" | "patternSizes">): string | undefined {
  if (pattern === "asanoha-square") return undefined;
  const further = Object.entries(patternSizes).filter(([name]) => !OWN_KEYS.includes(name));
  return [pattern, ...further.map(([name, value]) => `${name} ${Number(value.toFixed(6))}`)].join(", ");
}
