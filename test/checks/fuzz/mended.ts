import { parseDocument } from "yaml";
import type { JobFault } from "../../../src/io/faults.js";

/**
 * The job text with the example of a fault put where the fault is: in place of what stands there, or, of a group that lacks
 * a key, among its keys.
 */
export function mendedJob(text: string, { field, example }: JobFault, inGroup = false): string {
  const document = parseDocument(text, { uniqueKeys: false });
  const path = field.split(".");
  // A member of a list is mended by its list.
  if (/^\d+$/.test(path.at(-1)!)) path.pop();
  const [[key, value]] = Object.entries(parseDocument(example).toJS() as object) as [[string, unknown]];
  if (!inGroup && path.at(-1) !== key) document.deleteIn(path);
  document.setIn([...(inGroup ? path : path.slice(0, -1)), key], document.createNode(value));
  return document.toString();
}

/** The table with the example of a fault in its cell, or as its line where the fault is of the whole line. */
export function mendedTable(text: string, { line, column, example }: JobFault): string {
  const lines = text.split("\n");
  const cells = lines[line - 1]!.split(",");
  const swapped = /^low (.*), high (.*)$/.exec(example);
  if (swapped) cells.splice(column - 1, 2, swapped[1]!, swapped[2]!);
  else cells[column - 1] = example;
  lines[line - 1] = column === 0 ? example : cells.join(",");
  return lines.join("\n");
}
