import { readdirSync, rmSync, statSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { isForbidden } from "./file-fault.js";

/** A file of this name is older than any writing takes, ms: whoever began it was killed. */
export const LEFT_OVER_AFTER_MS = 60_000;

const aside = (path: string, end: string): string =>
  join(dirname(path), `.${basename(path)}.${process.pid}.${end}`);

/** Where the new content of a file waits. */
export const freshName = (path: string): string => aside(path, "new");
/** Where the old content of a file waits. */
export const keptName = (path: string): string => aside(path, "old");

/** Removes what a killed process left beside a file; nothing where the folder may be written to and not listed. */
export function removeLeftovers(path: string): void {
  const start = `.${basename(path)}.`;
  const before = Date.now() - LEFT_OVER_AFTER_MS;
  for (const name of listed(dirname(path))) {
    if (!name.startsWith(start) || !/^\d+\.(new|old)$/.test(name.slice(start.length))) continue;
    const left = join(dirname(path), name);
    if ((statSync(left, { throwIfNoEntry: false })?.mtimeMs ?? before) < before)
      rmSync(left, { force: true });
  }
}

function listed(folder: string): readonly string[] {
  try {
    return readdirSync(folder);
  } catch (error) {
    if (isForbidden(error)) return [];
    throw error;
  }
}
