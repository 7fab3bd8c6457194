import { parseAngle, parseLength, type SignRule } from "../../quantity/index.js";
import type { Delimiter } from "../trials/parse-records.js";
import { orRefuse } from "../unfit.js";
import type { SheetRow } from "./sheet-row.js";

export const MEASURE_UNITS = { angle: ["deg", "arcmin", "rad"], length: ["mm", "µm", "in", "thou"] } as const;
export type MeasureKind = keyof typeof MEASURE_UNITS;

/** A unit that a cell names, and what it is a unit of; `undefined` after noting that it is none. An empty cell is `usual`. */
export function readMeasureUnit<C extends string>(
  row: SheetRow<C>,
  column: C,
  usual: string,
): { readonly unit: string; readonly kind: MeasureKind } | undefined {
  const typed = row.get(column).toLowerCase() || usual;
  for (const kind of ["length", "angle"] as const)
    if ((MEASURE_UNITS[kind] as readonly string[]).includes(typed)) return { unit: typed, kind };
  const rule = "a length is in mm, µm, in or thou, an angle in deg, arcmin or rad";
  return row.refuse(column, { problem: "there is no such unit", rule }, usual);
}

/** A length (mm) or an angle (rad) in a cell; `undefined` after noting what is wrong. */
export function readMeasure<C extends string>(
  row: SheetRow<C>,
  column: C,
  { unit, kind }: { readonly unit: string; readonly kind: MeasureKind },
  delimiter: Delimiter,
  sign: SignRule,
): number | undefined {
  const typed = row.get(column);
  const example = kind === "angle" ? "45.1" : "44.12";
  if (typed === "") {
    row.refuse(column, { problem: "nothing is written", rule: "every row has what was read" }, example);
    return undefined;
  }
  // Where semicolons separate the cells, a comma can only be a decimal mark.
  const plain = delimiter === ";" ? typed.replace(/^([^.,]*),([^.,]*)$/, "$1.$2") : typed;
  const text = /[\p{L}°'"′″‘’“”º˚]/u.test(plain.replace(/(?<=\d)e[+-]?\d+/giu, ""))
    ? plain
    : `${plain} ${unit}`;
  return orRefuse(
    column,
    typed,
    () => (kind === "angle" ? parseAngle(text, { sign }) : parseLength(text, { unit: "mm", sign })),
    (sentence) => row.note(column, sentence, example),
  );
}
