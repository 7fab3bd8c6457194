import { statSync } from "node:fs";
import { dirname, extname, join } from "node:path";
import { isForbidden } from "../../files/file-fault.js";
import { JobError } from "../job-error.js";
import { forbidden } from "./read-text.js";

/** Names of a job file in its folder. */
export const JOB_FILES = ["job.yaml", "job.yml", "job.json"] as const;
export const TRIALS_FILE = "trials.csv";

/**
 * The job file for a folder or a file.
 *
 * @throws JobError when the folder has no job file, or more than one, or may not be looked into.
 */
export function jobFile(path: string): string {
  if (!isFolder(path)) return path;
  const [only, ...others] = JOB_FILES.filter((name) => isThere(path, name));
  if (only !== undefined && others.length === 0) return join(path, only);
  const sentence =
    only === undefined
      ? `The folder has no job file; it must hold one of ${JOB_FILES.join(", ")}.`
      : `The folder has more than one job file (${[only, ...others].join(", ")}); it must hold one, or name the file itself.`;
  throw new JobError([
    { file: path, line: 0, column: 0, field: "", sentence, example: join(path, JOB_FILES[0]) },
  ]);
}

/** The table of trials for a job folder, the job file in it, or the table itself. */
export function trialsFile(path: string): string {
  if (isFolder(path)) return join(path, TRIALS_FILE);
  return [".yaml", ".yml", ".json"].includes(extname(path).toLowerCase())
    ? join(dirname(path), TRIALS_FILE)
    : path;
}

function isThere(folder: string, name: string): boolean {
  try {
    return statSync(join(folder, name), { throwIfNoEntry: false }) !== undefined;
  } catch (error) {
    if (isForbidden(error))
      throw forbidden(folder, "The folder cannot be looked into: its owner has not let you.");
    return false;
  }
}

const isFolder = (path: string): boolean => statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? false;
