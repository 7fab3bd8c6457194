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
  onProgress(
    isPath(name)
      ? `starting ${notebookPath}: a notebook is a program, and it runs with all your rights`
      : `starting ${basename(notebookPath)}`,
  );
  const { page, notebook } = await untilInterrupted(
    (signal) =>
      runAndRender({
        notebookPath,
        outDir: out,
        jobFolder: job,
        signal,
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

/** Whether a name is a path, so that it may mean a file outside this project. */
const isPath = (name: string): boolean => /[\\/]/.test(name);

/**
 * The file of a notebook: by its bare name one of this project's, whatever lies in the current folder; any other by its path, for a notebook is a program.
 *
 * @throws UserError (code "command") when there is none
 */
function findNotebook(name: string): string {
  const file = name.endsWith(".ipynb") ? name : `${name}.ipynb`;
  if (!isPath(name)) {
    const own = join(NOTEBOOKS, file);
    if (existsSync(own)) return own;
    const here = existsSync(file)
      ? ` There is one in this folder: write ./${file} if you trust it, for a notebook is a program.`
      : "";
    throw new UserError(
      "command",
      `This project has no notebook “${name}”. Write for example 01-calibrate-a-jig, or the path of your own, such as ./${file}.${here}`,
    );
  }
  const path = resolve(file);
  if (existsSync(path)) return path;
  throw new UserError("command", `There is no notebook ${file}. Write for example 01-calibrate-a-jig.`);
}
