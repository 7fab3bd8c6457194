import { DEGREE } from "../../core/geometry.js";
import type { Job } from "../../model/job/job.js";
import type { RecordedTogether } from "./read-together.js";

/** A jig's ramp as found in earlier jobs; rad. */
export interface RampRecord {
  /** Label of the ramp, rad. */
  readonly ramp: number;
  /** Error, rad, positive for a sharper cut; and its standard uncertainty, rad. */
  readonly error: number;
  readonly uncertainty: number;
}

/** The lean of a ramp as found in earlier jobs; rad. */
export interface LeanRecord {
  /** Error, rad, outward at the front +; and its standard uncertainty, rad. */
  readonly error: number;
  readonly uncertainty: number;
}

/** A stop as found in earlier jobs and not moved since; mm. It is valid only for the same cuts of the same cell. */
export interface StopRecord {
  readonly jig: string;
  readonly cuts: readonly string[];
  readonly opening: number;
  readonly strip: number;
  /** The pattern and its further sizes, as from `cellOfRecord`; absent for a square asanoha. */
  readonly cell?: string;
  /** Error, mm, longer +; and its standard uncertainty, mm. */
  readonly error: number;
  readonly uncertainty: number;
}

/** A record of jigs and stops that a maker keeps with the jigs. */
export interface JigRecord {
  /** The job it comes from, and its date. */
  readonly from: string;
  readonly date: string;
  /** By jig, and by set-up. */
  readonly ramps: ReadonlyMap<string, RampRecord>;
  readonly leans: ReadonlyMap<string, LeanRecord>;
  readonly stops: ReadonlyMap<string, StopRecord>;
  /** Their joint distribution, if the record has one; older records do not. */
  readonly together?: RecordedTogether;
}

/**
 * How much an error may have changed since its record was written: wear, sharpening, a season. Standard deviations, rad and mm, combined with the recorded
 * uncertainty as a root sum of squares. Common practice, no source.
 */
export const WIDEN = { ramps: 0.05 * DEGREE, stops: 0.05 } as const;
export type Widen = { readonly [key in keyof typeof WIDEN]: number };

const OWN_KEYS = ["opening", "strip", "seat-share"];

/**
 * The description of a cell in a stop's record, besides opening and strip: the pattern and its further sizes, `diamond, height 45 mm`. `undefined` for a square asanoha,
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
