import { readFile } from "node:fs/promises";
import { basename } from "node:path";
import { NotebookError } from "../notebook-error.js";
import { parseNotebook } from "./parse-notebook.js";
import type { Notebook } from "./types.js";

/**
 * Reads and checks a notebook file.
 *
 * @throws NotebookError when the file is missing, is not JSON or is not a notebook
 */
export async function readNotebook(path: string): Promise<Notebook> {
  const file = basename(path);
  let value: unknown;
  try {
    value = JSON.parse(await readFile(path, "utf8"));
  } catch (cause) {
    const what = cause instanceof SyntaxError ? "is not JSON" : "cannot be read";
    throw new NotebookError(
      `${file} ${what}; a notebook is a JSON file; ${String(cause)} (at ${path}).`,
      "",
      {
        cause,
      },
    );
  }
  return parseNotebook(value, file);
}
