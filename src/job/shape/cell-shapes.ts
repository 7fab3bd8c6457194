import type { Order } from "../../lattice/cell.js";
import type { LengthUnit } from "../../quantity/index.js";
import { PRESS_RATIO } from "../../seating/seating-model.js";
import { length, number, text, word } from "./fields.js";

const UNITS: readonly LengthUnit[] = ["mm", "in"];
const ORDERS: readonly Order[] = ["first", "exact"];
const STIFFEST = 1e9;

export const unitsShape = word("units", "unit", UNITS).default("mm");

/** The keys that say which cell it is and how it is predicted. */
export const cellShapes = (unit: LengthUnit) => ({
  title: text("title").optional(),
  opening: length("opening", unit, "positive"),
  strip: length("strip", unit, "positive"),
  depth: length("depth", unit, "positive").optional(),
  "seat-share": number(
    "seat-share",
    (share) => share > 0 && share < 1,
    "the seat takes a share of the strip between 0 and 1",
  ).optional(),
  order: word("order", "order", ORDERS).default("exact"),
  "press-ratio": number(
    "press-ratio",
    (ratio) => ratio >= 1 && ratio <= STIFFEST,
    `wood is from 1 to ${STIFFEST} times as stiff pressed as open`,
  ).default(PRESS_RATIO),
});
