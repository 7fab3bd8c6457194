import { type FaultParts, faultSentence } from "../unfit.js";
import { nearest, unknownWord, wordIn } from "../words.js";
import type { Column } from "./headings.js";
import type { TableRow } from "./read-table.js";
import type { TableFaults } from "./table-faults.js";

/** One row of a table, with a place to note what is wrong in it. */
export class Row {
  readonly line: number;
  private readonly cells: TableRow["cells"];
  private readonly columns: readonly Column[];
  private readonly faults: TableFaults;

  constructor({ line, cells }: TableRow, columns: readonly Column[], faults: TableFaults) {
    this.line = line;
    this.cells = cells;
    this.columns = columns;
    this.faults = faults;
  }

  /** A cell without spaces at its ends; empty where the table has no such column. */
  get(column: Column): string {
    return this.cells[column];
  }

  /** Notes what is wrong with a cell; its value, if it has one, is added to the sentence unless `value` is in `parts`. */
  refuse(
    column: Column,
    parts: Omit<FaultParts, "what"> & { readonly what?: string },
    example: string,
  ): undefined {
    const typed = this.get(column);
    const value = typed === "" ? {} : { value: typed };
    return this.note(column, faultSentence({ what: column, ...value, ...parts }), example);
  }

  /** Notes a whole sentence about a cell. */
  note(column: Column, sentence: string, example: string): undefined {
    const place = { line: this.line, column: this.columns.indexOf(column) + 1, field: column };
    this.faults.note({ ...place, sentence, example });
    return undefined;
  }

  /** The known word in a cell, in any mixture of capitals; `undefined` after noting that it is none of them. */
  word<T extends string>(
    column: Column,
    kind: string,
    known: readonly T[],
    example = known[0],
  ): T | undefined {
    const typed = this.get(column);
    const found = wordIn(known, typed);
    if (found !== undefined) return found;
    const [problem, rule] =
      typed === "" ? ["nothing is written", `every row names a ${kind}`] : unknownWord(typed, kind, known);
    return this.refuse(column, { problem, rule }, nearest(typed, known) ?? example ?? kind);
  }
}
