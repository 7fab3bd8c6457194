import { basename, dirname } from "node:path";
import { writeFiles } from "./write-files.js";

/**
 * Writes one file, whole or not at all, as {@link writeFiles} does. Its folder is made when missing.
 *
 * @throws FileError when the file system refuses; the previous file is then as it was
 */
export function writeFile(path: string, content: string | Uint8Array): void {
  writeFiles(dirname(path), { [basename(path)]: content });
}
