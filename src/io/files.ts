import { readFileSync, realpathSync, statSync } from "node:fs";
import { dirname, extname, isAbsolute, join, normalize, relative, sep } from "node:path";
import { fileFault, isForbidden } from "../core/files.js";
import { JobError } from "./faults.js";

// Reading text files, with their faults as JobErrors, and finding the files of a job's folder; core/files.ts writes files.

/** Largest file size read, bytes. */
export const MAX_FILE_BYTES = 5 * 1024 * 1024;

const SAVE_AS_UTF8 = "save it again with the encoding UTF-8 (in a spreadsheet: “CSV UTF-8”)";

/**
 * The text of a UTF-8 file, without a byte order mark and with lines ended by `\n`.
 *
 * @throws JobError when there is no such file, it is too large, or it is not UTF-8.
 */
export function readText(file: string): string {
  const bytes = readBytes(file);
  const [first, second] = bytes;
  if ((first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff) || bytes.includes(0))
    throw refused(
      file,
      `The file is not in UTF-8: it looks like UTF-16, which some spreadsheets write; ${SAVE_AS_UTF8}.`,
    );
  return decoded(bytes, file).replace(/\r\n?/g, "\n");
}

function readBytes(file: string): Buffer {
  let bytes: Buffer;
  try {
    const status = statSync(file);
    if (!status.isFile()) throw refused(file, "This is not a file; name a file, or the folder it is in.");
    if (status.size > MAX_FILE_BYTES) throw tooLarge(file, status.size);
    bytes = readFileSync(file);
  } catch (error) {
    if (error instanceof JobError) throw error;
    if ((error as NodeJS.ErrnoException).code === "ENOENT")
      throw refused(file, "There is no such file or folder.");
    if (isForbidden(error)) throw forbidden(file, "The file cannot be read: you do not have permission.");
    throw refused(file, `The file cannot be read: ${fileFault(error) ?? String(error)}.`);
  }
  if (bytes.length > MAX_FILE_BYTES) throw tooLarge(file, bytes.length);
  return bytes;
}

function decoded(bytes: Buffer, file: string): string {
  const decoder = new TextDecoder("utf-8", { fatal: true });
  try {
    return decoder.decode(bytes);
  } catch {
    const line = firstBadLine(bytes);
    throw refused(
      file,
      `The file is not in UTF-8: line ${line} has a character (a degree sign or an accent, perhaps) in another encoding; ${SAVE_AS_UTF8}.`,
      line,
    );
  }
}

function firstBadLine(bytes: Buffer): number {
  let line = 1;
  for (let from = 0; from < bytes.length; line++) {
    const end = bytes.indexOf(10, from);
    const to = end < 0 ? bytes.length : end;
    try {
      new TextDecoder("utf-8", { fatal: true }).decode(bytes.subarray(from, to));
    } catch {
      return line;
    }
    from = to + 1;
  }
  return line;
}

const tooLarge = (file: string, size: number): JobError =>
  refused(
    file,
    `The file is too large; at most ${MAX_FILE_BYTES / 1024 ** 2} MB are read; it has ${(size / 1024 ** 2).toFixed(1)} MB.`,
  );

function refused(
  file: string,
  sentence: string,
  line = 0,
  example = "a text file in UTF-8, such as job.yaml or trials.csv",
): JobError {
  return new JobError([{ file, line, column: 0, field: "", sentence, example }]);
}

/** A fault for a file or folder that the user has no permission to read. */
const forbidden = (path: string, sentence: string): JobError =>
  refused(
    path,
    sentence,
    0,
    "one that you may read: change its permissions, or copy it to a folder of your own",
  );

/** Names of a job file in its folder. */
export const JOB_FILES = ["job.yaml", "job.yml", "job.json"] as const;
export const TRIALS_FILE = "trials.csv";

/**
 * The job file of a folder, or the file itself.
 *
 * @throws JobError when the folder has no job file, or more than one, or cannot be read.
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
    if (isForbidden(error)) throw forbidden(folder, "The folder cannot be read: you do not have permission.");
    return false;
  }
}

const isFolder = (path: string): boolean => statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? false;

/** The path of a file that a job names relative to its folder; `null` when it lies outside the folder, by its name or through a link. */
export function inJobFolder(jobFile: string, name: string): string | null {
  const folder = dirname(jobFile);
  if (isAbsolute(name) || leaves(normalize(name))) return null;
  const path = join(folder, normalize(name));
  try {
    return leaves(relative(realpathSync(folder), realpathSync(path))) ? null : path;
  } catch {
    // It is missing or cannot be reached, which the reader of the file reports.
    return path;
  }
}

const leaves = (path: string): boolean => path === ".." || path.startsWith(`..${sep}`) || isAbsolute(path);
