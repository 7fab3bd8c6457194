import { existsSync, readFileSync } from "node:fs";
import { resolve } from "node:path";
import { NotebookError } from "../notebook-error.js";

/** Beside the compiled library: the build bundles it from the library's own code. */
const FILE = "play/page.js";

/**
 * The script of the page to play with.
 *
 * @throws NotebookError when the project was not built.
 */
export function playScript(folder = resolve(import.meta.dirname, "../..")): string {
  const file = resolve(folder, FILE);
  if (!existsSync(file))
    throw new NotebookError(`The page's script is missing; npm run build makes it; looked for ${file}.`);
  return readFileSync(file, "utf8");
}
