import type { SetUp } from "../../cutting/shop.js";
import type { Instrument, ReadQuantity } from "../../readings/instrument.js";
import type { Reading } from "../../readings/reading.js";
import { readAmount } from "./read-amount.js";
import { requireLeaves } from "./require-leaves.js";
import { requireNearLabel } from "./require-near-label.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

export interface ReadBefore {
  readonly what: ReadQuantity | undefined;
  readonly instrument: Instrument | undefined;
  readonly unit: string | undefined;
  readonly subject: string | null | undefined;
  readonly setUp: SetUp | null | undefined;
}

type Amounts = Pick<Reading, "value" | "low" | "high">;

/**
 * What was read: a value, or an interval with one end open at most. A gap's low end of zero says no more than an
 * empty one, since a closed joint may be pressed: both are −Infinity.
 */
export function readAmounts(row: Row, shop: Workshop, before: ReadBefore): Amounts | undefined {
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
  const amount = (column: "value" | "low" | "high") => readAmount(row, shop, column, what, unit);
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

function refuseNothing(row: Row, shop: Workshop, { what, instrument }: ReadBefore): undefined {
  const leaf = instrument?.leaves[0];
  const rule =
    "write a value, or the low and high end of what it lies between; one of these two may stay empty";
  const example = leaf !== undefined ? shop.lengthText(leaf) : what === "angle" ? "45.1 deg" : "0.05 mm";
  return row.refuse(
    leaf === undefined ? "value" : "high",
    { problem: "the row says nothing that was read", rule },
    example,
  );
}

function isInterval(row: Row, typedLow: number, { low, high }: { low: number; high: number }): boolean {
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
