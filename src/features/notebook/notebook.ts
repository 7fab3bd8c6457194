import { existsSync, readFileSync } from "node:fs";
import { basename, join, relative, resolve } from "node:path";
import { UserError } from "../../core/errors.js";
import { requireWritable } from "../../core/files.js";
import { PACKAGE_ROOT } from "../../core/package-root.js";
import { untilInterrupted } from "../../core/until-interrupted.js";
import { runAndRender } from "../../render/notebook/run-and-render.js";
import { cardIn } from "../calibrate/index.js";

export interface NotebookFlags {
  readonly job: string;
  readonly out: string;
  readonly card?: boolean;
  /** s, > 0. */
  readonly cellLimit?: number;
}

const NOTEBOOKS = resolve(PACKAGE_ROOT, "notebooks");

/** `sukima notebook NAME --job FOLDER --out FOLDER`: runs it, says where the page is. Ctrl-C ends it, and its kernel. */
export async function notebookCommand(
  name: string,
  { job, out, card, cellLimit }: NotebookFlags,
  onProgress: (step: string) => void,
): Promise<string> {
  const notebookPath = findNotebook(name);
  requireWritable(out);
  onProgress(`starting ${basename(notebookPath)}`);
  const { page, notebook } = await untilInterrupted(
    (signal) =>
      runAndRender({
        ...{ notebookPath, outDir: out, jobFolder: job, signal },
        ...(cellLimit === undefined ? {} : { cellTimeoutMs: 1000 * cellLimit }),
        onProgress: (step) => onProgress(`cell ${step.cell} of ${step.of}`),
      }),
    `Stopped by Ctrl-C: ${basename(notebookPath)} was not run to its end; nothing was written, and an earlier report is unchanged.`,
  );
  const shown = (path: string): string => relative(process.cwd(), path) || path;
  const lines = [`The report: ${shown(page)}`, `The notebook: ${shown(notebook)}`];
  if (!card) return lines.join("\n");
  return `${cardIn(JSON.parse(readFileSync(notebook, "utf8")))}\n${lines.join("\n")}`;
}

function findNotebook(name: string): string {
  const own = join(NOTEBOOKS, name.endsWith(".ipynb") ? name : `${name}.ipynb`);
  const found = [resolve(name), resolve(`${name}.ipynb`), own].find(
    (path) => path.endsWith(".ipynb") && existsSync(path),
  );
  if (!found)
    throw new UserError(
      "command",
      `There is no notebook “${name}” here or among the project's own. Write for example 01-calibrate-a-jig.`,
    );
  return found;
}
