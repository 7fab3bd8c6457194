import { readMeasure, readMeasureUnit } from "../../io/measure-columns.js";
import { readTable, type TableSpec } from "../../io/table.js";

/** What was measured of each piece of a batch, in the order they were cut; mm. */
export interface BatchTable {
  /** The file it came from. */
  readonly file: string;
  readonly what: "length" | "gap";
  /** For printing. */
  readonly units: "mm" | "in";
  readonly rows: readonly {
    readonly id: string;
    /** The piece of the pattern; empty where the table does not say. */
    readonly piece: string;
    /** Its length or gap, mm; a gap above 0 is open. */
    readonly value: number;
  }[];
}

const MEASURED = ["length", "gap"] as const;
type Column = (typeof MEASURED)[number] | "id" | "piece" | "unit" | "note";

const BATCH_TABLE: TableSpec<Column> = {
  columns: {
    id: { needed: false, example: "p1" },
    piece: { needed: false, example: "hinge-1" },
    length: { needed: false, example: "44.12", number: true },
    gap: { needed: false, example: "0.05", number: true },
    unit: { needed: false, example: "mm" },
    note: { needed: false, example: "" },
  },
  headingFault: (columns) => {
    const measured = MEASURED.filter((name) => columns.includes(name)).length;
    if (measured === 1) return undefined;
    return `The table has ${measured === 0 ? "no column for what was measured" : "lengths and gaps"}; it has a column length or a column gap, and not both.`;
  },
  headings: ["id", "piece", "length", "unit", "note"],
  shortRows: true,
};

/**
 * Loads the lengths or the gaps of a batch, one row a piece in the order of cutting: `length` or `gap`, and where wanted `id`, `piece` and `unit` (default mm).
 *
 * @throws JobError with everything that is wrong in the table
 * @example
 * loadBatchTable("data/alcove-screen/batch.csv").what // "length"
 */
export function loadBatchTable(file: string): BatchTable {
  const { rows, columns, faults } = readTable(file, BATCH_TABLE);
  const what = columns.includes("gap") ? "gap" : "length";
  let inches = false;
  const read = rows.flatMap((row): BatchTable["rows"][number][] => {
    const measure = readMeasureUnit(row, "unit", "mm");
    if (measure === undefined) return [];
    if (measure.kind === "angle")
      return (
        row.refuse(
          "unit",
          { problem: "it is a unit of angle", rule: `a ${what} is in mm, µm, in or thou` },
          "mm",
        ) ?? []
      );
    inches ||= measure.unit === "in" || measure.unit === "thou";
    const value = readMeasure(row, what, measure, what === "gap" ? "non-negative" : "positive");
    if (value === undefined) return [];
    return [{ id: row.get("id") || String(row.line - 1), piece: row.get("piece").toLowerCase(), value }];
  });
  if (rows.length === 0 && faults.count === 0)
    faults.note({
      line: 1,
      sentence: "The table has headings and no pieces; every piece is a row.",
      example: "p1,44.12,mm",
    });
  faults.requireFaultless();
  return { file, what, units: inches ? "in" : "mm", rows: read };
}
