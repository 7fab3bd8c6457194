import { existsSync, statSync } from "node:fs";
import { dirname, extname, join } from "node:path";
import { JobError } from "../job-error.js";

/** Names of a job file in its folder. */
export const JOB_FILES = ["job.yaml", "job.yml", "job.json"] as const;
export const TRIALS_FILE = "trials.csv";

/**
 * The job file for a folder or a file.
 *
 * @throws JobError when the folder has no job file, or more than one.
 */
export function jobFile(path: string): string {
  if (!isFolder(path)) return path;
  const [only, ...others] = JOB_FILES.filter((name) => existsSync(join(path, name)));
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

const isFolder = (path: string): boolean => statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? false;
