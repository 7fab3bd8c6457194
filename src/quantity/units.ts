import { PI, quotient, type Ratio, ratio } from "./exact.js";

/** The unit a bare length takes, and a length can be printed in. */
export type LengthUnit = "mm" | "in";

/** The unit a bare angle takes. */
export type AngleUnit = "deg" | "rad";

/** What sign a value may have: `positive` is more than zero, `non-negative` is zero or more. */
export type SignRule = "any" | "positive" | "non-negative";

/** The longest length read, either sign, mm. */
export const MAX_LENGTH_MM = 100_000;

/** The widest angle read, either sign, degrees. */
export const MAX_ANGLE_DEG = 360;

/** The longest text read as a quantity, characters. */
export const MAX_TEXT_LENGTH = 80;

/** Millimetres in an inch: exact by definition (international yard and pound agreement, 1959). */
export const MM_PER_INCH = "25.4";

const inch = ratio(MM_PER_INCH);
const thou = ratio("0.0254");
const micrometre = ratio("0.001");

/** Millimetres in one of each length unit, by its spelling. */
export const MM_PER: ReadonlyMap<string, Ratio> = new Map([
  ["mm", ratio(1)],
  ["cm", ratio(10)],
  ["m", ratio(1000)],
  ["µm", micrometre],
  ["um", micrometre],
  ["in", inch],
  ["in.", inch],
  ["inch", inch],
  ["inches", inch],
  ['"', inch],
  ["thou", thou],
]);

/** The part of an angle each spelling names. */
export const ANGLE_PART: ReadonlyMap<string, "degrees" | "minutes" | "seconds" | "radians"> = new Map([
  ["°", "degrees"],
  ["deg", "degrees"],
  ["degree", "degrees"],
  ["degrees", "degrees"],
  ["'", "minutes"],
  ["arcmin", "minutes"],
  ['"', "seconds"],
  ["arcsec", "seconds"],
  ["rad", "radians"],
]);

/** The length units as an error message lists them. */
export const KNOWN_LENGTH_UNITS = 'mm, cm, m, µm (or um), in (or inch, or "), thou';

/** The angle units as an error message lists them. */
export const KNOWN_ANGLE_UNITS = "deg (or °), arcmin (or ′) and arcsec (or ″), rad";

/** Degrees in a radian. */
export const DEGREES_PER_RADIAN = quotient({ n: ratio(180).n, d: PI });
