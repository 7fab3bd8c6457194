import { type FileContents, writeFiles } from "../core/files/write-files.js";

/** Writes drawings into a folder, all or none; what to print of each. */
export function drawnFiles(folder: string | undefined, files: FileContents): string[] {
  if (folder === undefined || Object.keys(files).length === 0) return [];
  return Object.values(writeFiles(folder, files)).map((file) => `Drawn: ${file}`);
}
