import { html } from "../../render/html.js";
import { printList, printPage, printTable } from "../../render/page/print-page.js";
import type { CutList } from "./cut-list.js";
import { cutListNotes, cutListTables, PIECES } from "./cut-list-contents.js";
import { lineDrawings } from "./piece-drawing.js";

/** Tables that are ticked off line by line. */
const TICKED = new Set([PIECES, "Set-ups", "Laps", "Sticks"]);

/**
 * The list as a page of its own to print and tick off: no scripts, nothing loaded, every text of the job inert.
 *
 * @param date printed as it is
 */
export function cutListHtml(list: CutList, date: string): string {
  const { title, units } = list.job;
  return printPage({
    title: `Cut list: ${title}`,
    date,
    units,
    body: html`${cutListTables(list).map((table) =>
      printTable({
        ...table,
        ticked: TICKED.has(table.title),
        ...(table.title === PIECES && { drawings: lineDrawings(list) }),
      }),
    )}
<section class="notes"><h2>What it rests on</h2>${printList(cutListNotes(list))}</section>`,
  });
}
