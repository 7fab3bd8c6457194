import { parseAngle, parseLength, QuantityError } from "../../quantity/index.js";
import type { ReadQuantity } from "../../readings/instrument.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

/** The unit for numbers that have none of their own; an empty cell is the job's unit, or degrees. */
export function readUnit(row: Row, { job }: Workshop, what: ReadQuantity | undefined): string | undefined {
  if (what === undefined) return undefined;
  const ofAngle = what === "angle";
  const usual = ofAngle ? "deg" : job.units;
  const typed = row.get("unit").toLowerCase();
  if (typed === "") return usual;
  const [fits, other] = ofAngle ? [isAngleUnit, isLengthUnit] : [isLengthUnit, isAngleUnit];
  if (fits(typed)) return typed;
  const rule = ofAngle
    ? "an angle is in deg, arcmin, arcsec or rad"
    : `a ${what} is in mm, cm, µm, in or thou`;
  const problem = other(typed) ? `it is a unit of ${ofAngle ? "length" : "angle"}` : "there is no such unit";
  return row.refuse("unit", { problem, rule }, usual);
}

const isLengthUnit = (unit: string): boolean => accepts(() => parseLength(`1 ${unit}`, { unit: "mm" }));
const isAngleUnit = (unit: string): boolean => accepts(() => parseAngle(`1 ${unit}`));

function accepts(read: () => number): boolean {
  try {
    read();
    return true;
  } catch (error) {
    if (error instanceof QuantityError) return false;
    throw error;
  }
}
