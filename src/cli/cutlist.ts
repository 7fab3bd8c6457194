import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { cutList } from "../cutlist/cut-list.js";
import { loadJob } from "../job/load-job.js";
import { cutListCsv } from "../report/cutlist/cut-list-csv.js";
import { cutListHtml } from "../report/cutlist/cut-list-html.js";
import { cutListJson } from "../report/cutlist/cut-list-json.js";
import { cutListText } from "../report/cutlist/cut-list-text.js";

export interface CutListFlags {
  readonly json?: boolean;
  readonly seed?: number;
  /** A folder for the page and the tables. */
  readonly out?: string;
}

/** `sukima cutlist JOBFOLDER`: what to cut, at which set-up, from which sticks. */
export function cutListCommand(folder: string, { json, seed, out }: CutListFlags, today: Date): string {
  const list = cutList(loadJob(folder), seed === undefined ? {} : { seed });
  const written: string[] = [];
  if (out !== undefined) {
    mkdirSync(out, { recursive: true });
    const write = (name: string, text: string): void => {
      const file = join(out, name);
      writeFileSync(file, text);
      written.push(`Written: ${file}`);
    };
    write("cut-list.html", cutListHtml(list, today.toISOString().slice(0, 10)));
    for (const { name, text } of cutListCsv(list)) write(`${name}.csv`, text);
  }
  if (json) return JSON.stringify(cutListJson(list), null, 1);
  const hint =
    out === undefined ? "With --out FOLDER: a page to print and tick off, and tables for a spreadsheet." : "";
  return [cutListText(list), ...written, hint].join("\n");
}
