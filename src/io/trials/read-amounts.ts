import type { Cell } from "../../model/cell/cell.js";
import { LARGEST_ANGLE_ERROR } from "../../model/cell/cell-errors.js";
import { faceName } from "../../model/cell/face-id.js";
import type { Instrument, Reading, ReadQuantity } from "../../model/readings.js";
import type { SetUp } from "../../model/shop.js";
import { degreesText, listed } from "../faults.js";
import type { TrialRow } from "./trials-csv.js";
import type { Workshop } from "./workshop.js";

interface ReadBefore {
  readonly what: ReadQuantity | undefined;
  readonly instrument: Instrument | undefined;
  readonly unit: string | undefined;
  readonly subject: string | null | undefined;
  readonly setUp: SetUp | null | undefined;
}

type Amounts = Pick<Reading, "value" | "low" | "high">;

/**
 * The amount read: a value, or an interval with at most one open end. A gap's low end of zero says no more than an
 * empty one, because a closed joint may be pressed; both are −Infinity.
 */
export function readAmounts(row: TrialRow, shop: Workshop, before: ReadBefore): Amounts | undefined {
  const { what, instrument, unit } = before;
  const [hasValue, hasLow, hasHigh] = (["value", "low", "high"] as const).map(
    (column) => row.get(column) !== "",
  );
  const feeler = instrument !== undefined && instrument.leaves.length > 0;
  if (hasValue && (hasLow || hasHigh)) {
    const rule = "a row has a value or an interval, so leave one of the two empty";
    return row.refuse("value", { problem: "the row has a value and an interval", rule }, "");
  }
  if (hasValue && feeler) {
    const problem = `${instrument.name} has leaves and tells no value`;
    const rule = "write in low the thickest leaf that goes in and in high the thinnest that does not";
    return row.refuse("value", { problem, rule }, "");
  }
  if (!hasValue && !hasLow && !hasHigh && shop.planned) {
    return { value: null, low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY };
  }
  if (!hasValue && !hasLow && !hasHigh) return refuseNothing(row, shop, before);
  if (what === undefined || unit === undefined) return undefined;
  const amount = (column: "value" | "low" | "high") =>
    row.quantity(column, what === "angle" ? "angle" : "length", {
      unit,
      // An interval may begin at zero.
      sign: what === "gap" || column === "low" ? "non-negative" : "positive",
      example: EXAMPLES[what],
    });
  if (hasValue) {
    const value = amount("value");
    if (value === undefined) return undefined;
    if (what === "angle") requireNearLabel(row, shop, before, value);
    return { value, low: null, high: null };
  }
  const low = hasLow ? amount("low") : Number.NEGATIVE_INFINITY;
  const high = hasHigh ? amount("high") : Number.POSITIVE_INFINITY;
  if (low === undefined || high === undefined) return undefined;
  const interval = { value: null, low: what === "gap" && low === 0 ? Number.NEGATIVE_INFINITY : low, high };
  if (!isInterval(row, low, interval)) return undefined;
  if (feeler) requireLeaves(row, shop, instrument, interval);
  return interval;
}

function refuseNothing(row: TrialRow, shop: Workshop, { what, instrument }: ReadBefore): undefined {
  const leaf = instrument?.leaves[0];
  const rule =
    "write a value, or the low and high end of what it lies between; one of these two may stay empty";
  const example = leaf !== undefined ? shop.lengthText(leaf) : what === "angle" ? "45.1 deg" : "0.05 mm";
  return row.refuse(
    leaf === undefined ? "value" : "high",
    { problem: "the row has no reading", rule },
    example,
  );
}

function isInterval(row: TrialRow, typedLow: number, { low, high }: { low: number; high: number }): boolean {
  const ends = `${row.get("low")} to ${row.get("high")}`;
  if (low === Number.NEGATIVE_INFINITY && high === Number.POSITIVE_INFINITY) {
    const rule = "a gap is never less than zero, so give the thinnest leaf that does not go in";
    row.refuse("high", { problem: "a low end of 0 with an open high end says nothing", rule }, "0.05 mm");
    return false;
  }
  if (typedLow > high) {
    const rule = "the low end is less than the high end";
    const swapped = `low ${row.get("high")}, high ${row.get("low")}`;
    row.refuse("low", { problem: "the interval is reversed", rule, value: ends }, swapped);
    return false;
  }
  if (typedLow === high) {
    const rule = "the low end is less than the high end; leave one of the two empty if it is open";
    row.refuse("low", { problem: "the interval has no width", rule, value: ends }, "");
    return false;
  }
  return true;
}

const EXAMPLES: Record<ReadQuantity, string> = {
  gap: "0.05 mm",
  angle: "45.1 deg",
  length: "44.12 mm",
  thickness: "3.01 mm",
};

/** Tolerance within which a size is that of a leaf, mm. */
const SAME_LEAF = 1e-6;

/** Notes an end of an interval that is not a leaf of the feeler gauge used. */
function requireLeaves(
  row: TrialRow,
  shop: Workshop,
  { name, leaves }: Instrument,
  ends: { readonly low: number; readonly high: number },
): void {
  for (const column of ["low", "high"] as const) {
    const size = ends[column];
    if (!Number.isFinite(size) || leaves.some((leaf) => Math.abs(leaf - size) <= SAME_LEAF)) continue;
    const below = leaves.findLast((leaf) => leaf < size);
    const above = leaves.find((leaf) => leaf > size);
    const near = [below, above].filter((leaf) => leaf !== undefined).map((leaf) => shop.lengthText(leaf));
    const rule =
      near.length > 1
        ? `each end must be one of its leaves, and the nearest are ${listed(near)}`
        : below === undefined
          ? `its thinnest is ${near[0]}; leave the low end empty when that did not go in`
          : `its thickest is ${near[0]}; leave the high end empty when that went in`;
    row.refuse(column, { problem: `${name} has no such leaf`, rule }, exampleEnd(column, below, above, shop));
  }
}

/** The low end is a leaf that goes in, the high end one that does not; an end without such a leaf is empty. */
function exampleEnd(
  column: "low" | "high",
  below: number | undefined,
  above: number | undefined,
  shop: Workshop,
): string {
  const leaf = column === "low" ? below : above;
  return leaf === undefined ? "" : shop.lengthText(leaf);
}

/** Notes an angle that no jig for that cut can have made. Most likely it was counted from the side of the strip, or is an error rather than an angle. */
function requireNearLabel(
  row: TrialRow,
  { cell }: Workshop,
  { subject, setUp }: ReadBefore,
  value: number,
): void {
  const label = labelOf(cell, subject, setUp?.cuts ?? null);
  if (label === undefined || Math.abs(value - label) <= LARGEST_ANGLE_ERROR) return;
  const problem = `it is far from ${degreesText(label)}, the angle of this cut`;
  const rule = "write the angle itself, counted from a square cut; a cut is within 10° of its label";
  row.refuse("value", { problem, rule }, degreesText(label));
}

function labelOf(
  { pieces }: Cell,
  subject: string | null | undefined,
  groups: readonly string[] | null,
): number | undefined {
  return pieces
    .flatMap(({ name, cuts }) =>
      cuts.map((cut) => ({ ...cut, full: faceName({ owner: name, face: cut.face }) })),
    )
    .find(({ full, face, group }) =>
      groups === null ? full === subject : face === subject && groups.includes(group),
    )?.jigAngle;
}
