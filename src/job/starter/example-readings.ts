import type { LengthUnit } from "../../quantity/index.js";
import { type Column, USUAL_COLUMNS } from "../trials/headings.js";
import { STARTER_SIZES } from "./starter-sizes.js";

type Written = Partial<Record<Column, string>>;

/** Rows of a table of trials as they may look for the starter job; invented. */
export function exampleReadings(units: LengthUnit): string[] {
  const { thinnest, gapLow, gapHigh, diagonal, key, thickness } = STARTER_SIZES[units];
  const inHand = { bench: "none" };
  const angle = { ...inHand, what: "angle", unit: "deg", instrument: "angle-gauge" };
  const caliper = { ...inHand, unit: units, instrument: "caliper" };
  const gap = { what: "gap", at: "widest", unit: units, instrument: "feeler" };
  const d1 = { trial: "d1", "set-up": "diagonal-end" };
  const h1 = { trial: "h1", "set-up": "hinge-point" };
  const k1 = { trial: "k1", "set-up": "key-end" };
  const rows: Written[] = [
    { ...d1, ...angle, joint: "end-left", value: "45.4", note: "one face of the point" },
    { ...d1, ...gap, bench: "corner-90", joint: "start-left", high: thinnest, note: "nothing goes in" },
    { ...d1, ...caliper, joint: "diagonal", what: "length", value: diagonal, note: "tip to tip" },
    { ...d1, ...caliper, joint: "diagonal", what: "thickness", value: thickness },
    { ...h1, ...angle, joint: "start-left", value: "68.1" },
    {
      ...{ ...h1, ...gap, bench: "corner-45", joint: "start-left", low: gapLow, high: gapHigh },
      note: "one goes in and the next does not",
    },
    { ...k1, ...caliper, joint: "key", what: "length", value: key },
  ];
  return rows.map((row, i) =>
    USUAL_COLUMNS.map((column) => (column === "id" ? `r${i + 1}` : (row[column] ?? ""))).join(","),
  );
}
