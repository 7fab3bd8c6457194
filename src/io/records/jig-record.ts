import { DEGREE } from "../../core/geometry.js";
import type { Job } from "../../model/job/job.js";

/** What earlier jobs found of a jig's ramp; rad. */
export interface RampRecord {
  /** Label of the ramp, rad. */
  readonly ramp: number;
  /** Error, rad, steeper +; and its standard uncertainty, rad. */
  readonly error: number;
  readonly uncertainty: number;
}

/** What earlier jobs found of how far a ramp leans; rad. */
export interface LeanRecord {
  /** Error, rad, outward at the front +; and its standard uncertainty, rad. */
  readonly error: number;
  readonly uncertainty: number;
}

/** What earlier jobs found of a stop that has been left as it was; mm. It holds for the same cuts of the same cell only. */
export interface StopRecord {
  readonly jig: string;
  readonly cuts: readonly string[];
  readonly opening: number;
  readonly strip: number;
  /** The pattern and its further sizes, as `cellOfRecord` says; absent of a square asanoha. */
  readonly cell?: string;
  /** Error, mm, longer +; and its standard uncertainty, mm. */
  readonly error: number;
  readonly uncertainty: number;
}

/** A record that a maker keeps with the jigs. */
export interface JigRecord {
  /** The job it comes from, and when it was written. */
  readonly from: string;
  readonly date: string;
  /** By jig, and by set-up. */
  readonly ramps: ReadonlyMap<string, RampRecord>;
  readonly leans: ReadonlyMap<string, LeanRecord>;
  readonly stops: ReadonlyMap<string, StopRecord>;
}

/**
 * How much an error may have changed since its record was written: wear, sharpening, a season. Standard deviations, rad and mm, added to the recorded
 * uncertainty by their squares. Common practice, no source.
 */
export const WIDEN = { ramps: 0.05 * DEGREE, stops: 0.05 } as const;
export type Widen = { readonly [key in keyof typeof WIDEN]: number };

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
