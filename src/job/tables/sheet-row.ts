import type { TableFaults } from "../trials/table-faults.js";
import { type FaultParts, faultSentence } from "../unfit.js";

/** One row of a small table, with a place to note what is wrong in it. */
export class SheetRow<C extends string> {
  readonly line: number;
  private readonly columns: readonly C[];
  private readonly cells: readonly string[];
  private readonly faults: TableFaults;

  constructor(line: number, columns: readonly C[], cells: readonly string[], faults: TableFaults) {
    this.line = line;
    this.columns = columns;
    this.cells = cells;
    this.faults = faults;
  }

  /** A cell without spaces at its ends; empty where the table has no such column. */
  get(column: C): string {
    return (this.cells[this.columns.indexOf(column)] ?? "").trim();
  }

  /** Notes what is wrong with a cell. */
  refuse(column: C, parts: Omit<FaultParts, "what">, example: string): undefined {
    const typed = this.get(column);
    const value = typed === "" ? {} : { value: typed };
    return this.note(column, faultSentence({ what: column, ...value, ...parts }), example);
  }

  /** Notes a whole sentence about a cell. */
  note(column: C, sentence: string, example: string): undefined {
    const at = this.columns.indexOf(column) + 1;
    this.faults.note({ line: this.line, column: at, field: column, sentence, example });
    return undefined;
  }
}
