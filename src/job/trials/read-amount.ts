import { parseAngle, parseLength } from "../../quantity/index.js";
import type { ReadQuantity } from "../../readings/instrument.js";
import { orRefuse } from "../unfit.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

/** A number in a cell, mm or rad, with its own unit or that of the row. */
export function readAmount(
  row: Row,
  { delimiter }: Workshop,
  column: "value" | "low" | "high",
  what: ReadQuantity,
  unit: string,
): number | undefined {
  const typed = row.get(column);
  // Where semicolons separate the cells, a comma can only be a decimal mark.
  const text = withUnit(delimiter === ";" ? typed.replace(/^([^.,]*),([^.,]*)$/, "$1.$2") : typed, unit);
  // An interval may begin at nothing.
  const sign = what === "gap" || column === "low" ? "non-negative" : "positive";
  return orRefuse(
    column,
    typed,
    () => (what === "angle" ? parseAngle(text, { sign }) : parseLength(text, { unit: "mm", sign })),
    (sentence) => row.note(column, sentence, EXAMPLES[what]),
  );
}

const EXAMPLES: Record<ReadQuantity, string> = {
  gap: "0.05 mm",
  angle: "45.1 deg",
  length: "44.12 mm",
  thickness: "3.01 mm",
};

/** A number's power of ten is not a unit. */
const POWER = /(?<=\d)e[+-]?\d+/giu;

const withUnit = (text: string, unit: string): string =>
  /[\p{L}°'"′″‘’“”º˚]/u.test(text.replace(POWER, "")) ? text : `${text} ${unit}`;
