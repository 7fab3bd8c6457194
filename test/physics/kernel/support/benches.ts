import { DEGREE } from "../../../checks/validate/cells.js";

const ANGLES: Readonly<Record<string, number>> = {
  "corner-45": 67.5,
  "mitre-pair": 22.5,
  straightedge: 22.5,
  ring: 67.5,
};

/** Jig angle that a bench is tried at, rad. */
export const benchAngle = (name: string): number => (ANGLES[name] ?? 45) * DEGREE;

/**
 * How many times as far as on other benches two seatings may part. The last point of a reversal is held by a thousandth of a thousandth of a joint's springs:
 * where a gap changes sign within what counts as still, it follows up to a thousand times as far.
 */
export const benchSoftness = (name: string): number => (name === "reversal" ? 1000 : 1);
