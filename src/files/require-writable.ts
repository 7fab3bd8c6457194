import { accessSync, constants, existsSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { FileError } from "./file-error.js";
import { fileFault, writingRemedy } from "./file-fault.js";

/**
 * Finds out before long work whether a folder may be written to: itself, or the nearest one above it that is there.
 *
 * @throws FileError when it may not
 */
export function requireWritable(folder: string): void {
  let there = resolve(folder);
  while (!existsSync(there) && dirname(there) !== there) there = dirname(there);
  try {
    accessSync(there, constants.W_OK);
  } catch (error) {
    throw new FileError(`Nothing can be written to ${folder}: ${fileFault(error)}. ${writingRemedy(error)}`, {
      cause: error,
    });
  }
}
