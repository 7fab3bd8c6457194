import type { CutList } from "../../cutlist/cut-list.js";
import { CAUTIONS } from "../text/cautions.js";
import { textTable, wrapped } from "../text/text-table.js";
import { cutListNotes } from "./cut-list-notes.js";
import { cutListTables } from "./cut-list-rows.js";

/** The list for reading. */
export function cutListText(list: CutList): string {
  return [
    `CUT LIST: ${list.job.title}`,
    "",
    ...cutListTables(list).flatMap(({ title, heading, rows, right }) => [
      title.toUpperCase(),
      textTable(heading, rows, right),
      "",
    ]),
    ...cutListNotes(list).map((line) => wrapped(line)),
    "",
    ...CAUTIONS.map((line) => wrapped(line)),
    "",
  ].join("\n");
}
