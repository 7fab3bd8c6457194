import { writeFiles } from "../../core/files/write-files.js";
import { loadJob } from "../../io/job/load-job.js";
import { planCuts } from "./cut-list.js";
import { cutListHtml } from "./cut-list-html.js";
import { cutListCsv, cutListJson } from "./cut-list-tables.js";
import { cutListText } from "./cut-list-text.js";

export interface CutListFlags {
  readonly json?: boolean;
  readonly seed?: number;
  /** A folder for the page and the tables. */
  readonly out?: string;
}

/** `sukima cutlist JOBFOLDER`: what to cut, at which set-up, from which sticks. */
export function cutListCommand(folder: string, { json, seed, out }: CutListFlags, today: Date): string {
  const list = planCuts(loadJob(folder), seed === undefined ? {} : { seed });
  const page = (): string => cutListHtml(list, today.toISOString().slice(0, 10));
  const tables = (): [string, string][] => cutListCsv(list).map(({ name, text }) => [`${name}.csv`, text]);
  const files =
    out === undefined ? {} : writeFiles(out, { "cut-list.html": page(), ...Object.fromEntries(tables()) });
  const written = Object.values(files).map((file) => `Written: ${file}`);
  if (json) return JSON.stringify(cutListJson(list), null, 1);
  const hint =
    out === undefined ? "With --out FOLDER: a page to print and tick off, and tables for a spreadsheet." : "";
  return [cutListText(list), ...written, hint].join("\n");
}
