import { parseLength } from "../../core/quantity/index.js";
import { listed } from "../../core/text.js";
import {
  closedGap,
  type Instrument,
  isAngleReading,
  type Reading,
  type ReadQuantity,
} from "../../model/readings.js";
import type { SetUp } from "../../model/shop.js";
import { exampleOf, isNear } from "./near-size.js";
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
 * The amount read: a value, or an interval with at most one open end. A gap's low end of zero means the same as an
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
    row.quantity(column, isAngleReading(what) ? "angle" : "length", {
      unit,
      // An interval may begin at zero.
      sign: what === "gap" || column === "low" ? "non-negative" : "positive",
      example:
        column === "value" ? exampleOf(shop, { ...before, what }) : exampleEndOf(row, shop, before, column),
    });
  if (hasValue) {
    const value = amount("value");
    if (value === undefined) return undefined;
    if (what === "gap" && value === 0 && instrument) return closedGap(instrument);
    if (!isNear(row, shop, { ...before, what }, { column: "value", amount: value })) return undefined;
    return { value, low: null, high: null };
  }
  const low = hasLow ? amount("low") : Number.NEGATIVE_INFINITY;
  const high = hasHigh ? amount("high") : Number.POSITIVE_INFINITY;
  if (low === undefined || high === undefined) return undefined;
  const interval = { value: null, low: what === "gap" && low === 0 ? Number.NEGATIVE_INFINITY : low, high };
  if (!isInterval(row, shop, before, low, interval)) return undefined;
  // An interval that begins at zero leaves that end open.
  if (low > 0 && !isNear(row, shop, { ...before, what }, { column: "low", amount: low })) return undefined;
  if (high < Infinity && !isNear(row, shop, { ...before, what }, { column: "high", amount: high }))
    return undefined;
  if (feeler) requireLeaves(row, shop, instrument, interval);
  return interval;
}

function refuseNothing(row: TrialRow, shop: Workshop, before: ReadBefore): undefined {
  const { what, instrument } = before;
  const leaf = instrument?.leaves[0];
  const rule =
    "write a value, or the low and high end of what it lies between; one of these two may stay empty";
  const example =
    leaf !== undefined
      ? shop.lengthText(leaf)
      : what === undefined
        ? "0.05 mm"
        : exampleOf(shop, { ...before, what });
  return row.refuse(
    leaf === undefined ? "value" : "high",
    { problem: "the row has no reading", rule },
    example,
  );
}

/** An end that is consistent with the other one, as it should be typed: for a feeler gauge one of its leaves, or empty if none is. */
function exampleEndOf(
  row: TrialRow,
  shop: Workshop,
  { instrument, what, subject, setUp, unit }: ReadBefore,
  column: "low" | "high",
): string {
  const leaves = instrument?.leaves ?? [];
  if (leaves.length === 0)
    return row.get(column === "low" ? "high" : "low") !== "" || what === undefined
      ? ""
      : exampleOf(shop, { what, subject, setUp });
  const other = lengthOr(`${row.get(column === "low" ? "high" : "low")} ${unit ?? ""}`);
  const leaf =
    column === "low"
      ? leaves.findLast((size) => other === undefined || size < other - SAME_LEAF)
      : leaves.find((size) => other === undefined || size > other + SAME_LEAF);
  return leaf === undefined ? "" : shop.lengthText(leaf);
}

/** A typed length, mm; `undefined` if the text is not a length. */
function lengthOr(typed: string): number | undefined {
  try {
    return parseLength(typed, { unit: "mm" });
  } catch {
    return undefined;
  }
}

function isInterval(
  row: TrialRow,
  shop: Workshop,
  { instrument }: ReadBefore,
  typedLow: number,
  { low, high }: { low: number; high: number },
): boolean {
  const ends = `${row.get("low")} to ${row.get("high")}`;
  if (low === Number.NEGATIVE_INFINITY && high === Number.POSITIVE_INFINITY) {
    const rule = "a gap is never less than zero, so give the thinnest leaf that does not go in";
    row.refuse("high", { problem: "a low end of 0 with an open high end says nothing", rule }, "0.05 mm");
    return false;
  }
  if (typedLow > high) {
    const rule = "the low end is less than the high end";
    const leaves = instrument?.leaves ?? [];
    const below = leaves.findLast((leaf) => leaf < high - SAME_LEAF);
    const are = [low, high].every((end) => leaves.some((leaf) => Math.abs(leaf - end) <= SAME_LEAF));
    const example =
      leaves.length === 0 || are
        ? `low ${row.get("high")}, high ${row.get("low")}`
        : below === undefined
          ? ""
          : shop.lengthText(below);
    row.refuse("low", { problem: "the interval is reversed", rule, value: ends }, example);
    return false;
  }
  if (typedLow === high) {
    const rule = "the low end is less than the high end; leave one of the two empty if it is open";
    row.refuse("low", { problem: "the interval has no width", rule, value: ends }, "");
    return false;
  }
  return true;
}

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
    const problem = `${name} has no such leaf`;
    // What went in is then the low end.
    if (column === "high" && above === undefined && below !== undefined && row.get("low") === "")
      row.refuse("low", { problem, rule, value: row.get("high") }, `low ${shop.lengthText(below)}, high `);
    else row.refuse(column, { problem, rule }, exampleEnd(column, below, above, shop));
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
