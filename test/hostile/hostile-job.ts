import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { inFolder } from "../io/in-folder.js";

const DEMO = resolve(import.meta.dirname, "../../data/alcove-screen");

/** A text that is a script to HTML, a picture to Markdown, a formula to a spreadsheet and to mathematics. */
export const HOSTILE = `=1+1"><script>x()</script><img src=http://evil.example onerror=x()>'![a](http://evil.example/b)$x$|*b*`;
/** The same for a name, shorter: the marks are in every name of the job. */
export const NAME = "=cmd|<b onclick=x()>'&\"`*$";

/** The demonstration job with a hostile title, names of jigs, set-ups and instruments, ids, trials and notes. */
export function hostileJob(): string {
  const read = (name: string): string => readFileSync(resolve(DEMO, name), "utf8");
  const quoted = (text: string): string => `'${text.replaceAll("'", "''")}'`;
  let job = read("job.yaml").replace(/^title:.*$/m, () => `title: ${quoted(HOSTILE)}`);
  let trials = read("trials.csv");
  for (const name of ["point-45", "key-end", "angle-gauge"]) {
    const hostile = quoted(`${NAME}${name}`);
    job = job
      .replaceAll(new RegExp(`^( *)${name}:`, "gm"), (_, indent: string) => `${indent}${hostile}:`)
      .replaceAll(
        new RegExp(`(jig: |[{,[] *)${name}(?=[ ,}\\]])`, "g"),
        (_, before: string) => `${before}${hostile}`,
      );
    trials = trials.replaceAll(new RegExp(`(?<=,)${name}(?=,)`, "g"), () => cell(`${NAME}${name}`));
  }
  const [heading, ...all] = trials.trimEnd().split("\n");
  // Every sixth reading: enough for a fit, and soon done.
  const rows = all.filter((_, i) => i % 6 === 0);
  const marked = rows.map((row, i) => {
    const cells = row.split(/,(?=(?:[^"]*"[^"]*")*[^"]*$)/);
    cells[0] = cell(`${NAME}${i}`);
    cells[cells.length - 1] = cell(HOSTILE);
    return cells.join(",");
  });
  return inFolder({ "job.yaml": job, "trials.csv": `${[heading, ...marked].join("\n")}\n` });
}

const cell = (text: string): string => `"${text.replaceAll('"', '""')}"`;
