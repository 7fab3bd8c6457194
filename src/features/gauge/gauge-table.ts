import { describe } from "../../core/text.js";
import { type MeasureKind, readMeasure, readMeasureUnit } from "../../io/measure-columns.js";
import { type Row, readTable } from "../../io/table.js";

/** Repeated readings of one instrument, in mm or rad. */
export interface GaugeTable {
  /** Empty where the table names none. */
  readonly instrument: string;
  readonly kind: MeasureKind;
  /** The unit of the first row, for printing. */
  readonly unit: string;
  readonly readings: readonly { readonly part: string; readonly reader: string; readonly value: number }[];
}

const COLUMNS = {
  instrument: { needed: false, example: "caliper" },
  part: { needed: true, example: "1" },
  reader: { needed: false, example: "Aiko" },
  value: { needed: true, example: "44.12", number: true },
  unit: { needed: false, example: "mm" },
  note: { needed: false, example: "" },
} as const;
type Column = keyof typeof COLUMNS;

/** Who reads when the table does not say. */
const SOMEONE = "one reader";

/**
 * Loads the readings of a gauge study: `part` and `value`, and where they differ `reader`, `instrument` and `unit` (default mm).
 *
 * @throws JobError with everything that is wrong in the table
 * @example
 * loadGaugeTable("data/alcove-screen/gauge.csv").map(({ instrument }) => instrument) // ["caliper","angle-gauge"]
 */
export function loadGaugeTable(file: string): GaugeTable[] {
  const { rows, faults } = readTable<Column>(file, { columns: COLUMNS, shortRows: true });
  const tables = new Map<
    string,
    { kind: MeasureKind; unit: string; readings: GaugeTable["readings"][number][] }
  >();
  for (const row of rows) {
    const read = readMeasureUnit(row, "unit", "mm", tables.get(row.get("instrument"))?.unit);
    const part = named(row, "part");
    const value = read && readMeasure(row, "value", read, "any");
    if (read === undefined || part === undefined || value === undefined) continue;
    const instrument = row.get("instrument");
    const table = tables.get(instrument) ?? { ...read, readings: [] };
    tables.set(instrument, table);
    if (table.kind !== read.kind) {
      const problem = `an earlier row has ${describe(table.unit)} for the same instrument`;
      row.refuse("unit", { problem, rule: "one instrument reads lengths or angles" }, table.unit);
      continue;
    }
    table.readings.push({ part, reader: row.get("reader") || SOMEONE, value });
  }
  if (rows.length === 0 && faults.count === 0)
    faults.note({
      line: 1,
      sentence: "The table has headings and no readings; every reading is a row.",
      example: "1,44.12",
    });
  faults.requireFaultless();
  return [...tables].map(([instrument, table]) => ({ instrument, ...table }));
}

function named(row: Row<Column>, column: "part"): string | undefined {
  const name = row.get(column);
  if (name !== "") return name;
  return row.refuse(column, { problem: "nothing is written", rule: `every row names its ${column}` }, "1");
}
