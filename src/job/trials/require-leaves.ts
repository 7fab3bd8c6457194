import type { Instrument } from "../../readings/instrument.js";
import { listed } from "../words.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

/** A size written down is a leaf's when they agree to this, mm. */
const SAME_LEAF = 1e-6;

/** Notes an end of an interval that is not a leaf of the feeler that told it. */
export function requireLeaves(
  row: Row,
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

/** The low end is a leaf that goes in, the high end one that does not; empty where there is none. */
function exampleEnd(
  column: "low" | "high",
  below: number | undefined,
  above: number | undefined,
  shop: Workshop,
): string {
  const leaf = column === "low" ? below : above;
  return leaf === undefined ? "" : shop.lengthText(leaf);
}
