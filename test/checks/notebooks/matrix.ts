import type { Notebook } from "../../../src/render/notebook/notebook.js";
import { millimetres } from "../../cli/support/millimetres.js";
import { textsOf } from "../../notebooks/outputs.js";

/** A notebook and the job that it is run on. */
export interface Pair {
  readonly notebook: string;
  readonly pattern: string;
  readonly unit: "mm" | "in";
}

/** How a run ended: to its end with every check held; refused in a sentence that names the notebook; otherwise failed. */
export interface Result extends Pair {
  readonly status: "run" | "refused" | "failed";
  readonly seconds: number;
  /** The refusal or the fault; empty after a run. */
  readonly says: string;
}

/** What is wrong with a notebook that ran to its end: no check that held, a text that shows no number, or millimetres on a job in inches. Empty when nothing is. */
export function faultsOf(notebook: Notebook, unit: Pair["unit"]): string {
  const texts = textsOf(notebook);
  if (!texts.some((text) => /^holds: /m.test(text))) return "none of its checks was run";
  const odd = texts.find((text) => /\b(?:NaN|undefined|Infinity)\b|\[object /.test(text));
  if (odd !== undefined) return `it shows what is no number: ${odd.slice(0, 200)}`;
  const [metric] = unit === "in" ? texts.flatMap(millimetres) : [];
  return metric === undefined ? "" : `it speaks of millimetres: ${metric}`;
}

export const resultText = ({ notebook, pattern, unit, status, seconds, says }: Result): string =>
  `${status.padEnd(7)} ${notebook} ${pattern} ${unit} ${seconds.toFixed(0)} s${says === "" ? "" : `: ${says}`}`;

const MARKS = { run: "run", refused: "refused", failed: "FAILED" } as const;

/** A row for each job, a column for each notebook. */
export function tableText(results: readonly Result[], notebooks: readonly string[]): string {
  const short = (notebook: string): string => notebook.slice(0, 2);
  const jobs = [...new Set(results.map(({ pattern, unit }) => `${pattern} ${unit}`))].sort();
  const rows = jobs.map((job) => {
    const marks = notebooks.map((notebook) => {
      const found = results.find((one) => one.notebook === notebook && `${one.pattern} ${one.unit}` === job);
      return found ? MARKS[found.status] : "–";
    });
    return [job, ...marks];
  });
  const all = [["", ...notebooks.map(short)], ...rows];
  const widths = all[0]!.map((_, k) => Math.max(...all.map((row) => row[k]!.length)));
  const count = (status: Result["status"]): number => results.filter((one) => one.status === status).length;
  return [
    ...all.map((row) =>
      row
        .map((cell, k) => cell.padEnd(widths[k]!))
        .join("  ")
        .trimEnd(),
    ),
    "",
    `${count("run")} run, ${count("refused")} refused by name, ${count("failed")} failed, of ${results.length}.`,
  ].join("\n");
}
