import { realpathSync } from "node:fs";
import { dirname, isAbsolute, join, normalize, relative, sep } from "node:path";

/** The path of a file that a job names by its place in the job's folder; `null` when it lies outside, by its name or by a link. */
export function inJobFolder(jobFile: string, name: string): string | null {
  const folder = dirname(jobFile);
  if (isAbsolute(name) || leaves(normalize(name))) return null;
  const path = join(folder, normalize(name));
  try {
    return leaves(relative(realpathSync(folder), realpathSync(path))) ? null : path;
  } catch {
    // It is not there, or cannot be reached: whoever reads it says so.
    return path;
  }
}

const leaves = (path: string): boolean => path === ".." || path.startsWith(`..${sep}`) || isAbsolute(path);
