import {
  accessSync,
  chmodSync,
  constants,
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { UserError } from "./errors.js";

// Writing files, all or none, and what the file system's errors mean; io/files.ts reads them.

/**
 * Writes one file completely or not at all, as {@link writeFiles} does. Creates its folder if missing.
 *
 * @throws UserError (code "file") when the file system refuses; the previous file is then unchanged
 */
export function writeFile(path: string, content: string | Uint8Array): void {
  writeFiles(dirname(path), { [basename(path)]: content });
}

/** File contents, by file name. */
type FileContents = Readonly<Record<string, string | Uint8Array>>;

interface Pending {
  /** As the caller named it. */
  readonly path: string;
  /** The path written to, after links are followed. */
  readonly target: string;
  readonly content: string | Uint8Array;
  readonly fresh: string;
  readonly kept: string;
}

/**
 * Writes several files to one folder, which is created if missing: all of them or none. Each is first written next to its target under the temporary name
 * `.NAME.PROCESS.new`. When all are complete they replace the old files; if one cannot be replaced, the old files are put
 * back. This happens in one turn of the event loop with signals deferred, so that only SIGKILL can interrupt it. A killed process leaves each file either old or
 * new, never half written; its temporary files are removed by the next process that writes there.
 *
 * Links are followed. Devices and pipes are written to directly.
 *
 * @returns the paths, by file name
 * @throws UserError (code "file") when the file system refuses; the previous files are then unchanged
 */
export const writeFiles = (folder: string, files: FileContents): Record<string, string> =>
  holdingSignals(() => written(folder, files));

function written(folder: string, files: FileContents): Record<string, string> {
  const names = Object.keys(files);
  let at = folder;
  try {
    mkdirSync(folder, { recursive: true });
    const pending: Pending[] = [];
    try {
      for (const name of names) {
        at = join(folder, name);
        if (isSpecial(at)) writeFileSync(at, files[name]!);
        else pending.push(prepared(at, files[name]!));
      }
      for (const { path, target, kept } of pending) {
        at = path;
        if (isFile(target)) copyFileSync(target, kept);
      }
      exchange(pending, (path) => {
        at = path;
      });
    } finally {
      for (const { fresh, kept } of pending) for (const path of [fresh, kept]) rmSync(path, { force: true });
    }
  } catch (error) {
    const why = fileFault(error);
    if (why === null) throw error;
    throw new UserError(
      "file",
      `Nothing was written: ${why}; earlier content is unchanged: ${at}. ${writingRemedy(error)}`,
      { cause: error },
    );
  }
  return Object.fromEntries(names.map((name) => [name, join(folder, name)]));
}

/** Writes the content next to its target, with the permissions of the file it will replace. */
function prepared(path: string, content: string | Uint8Array): Pending {
  const target = existsSync(path) ? realpathSync(path) : path;
  const before = statSync(target, { throwIfNoEntry: false });
  // A rename needs only the folder's permissions, so a read-only file is protected here.
  if (before) accessSync(target, constants.W_OK);
  removeLeftovers(target);
  const fresh = freshName(target);
  try {
    writeFileSync(fresh, content, { flush: true });
    if (before) chmodSync(fresh, before.mode & 0o7777);
  } catch (error) {
    rmSync(fresh, { force: true });
    throw error;
  }
  return { path, target, content, fresh, kept: keptName(target) };
}

function exchange(pending: readonly Pending[], trying: (path: string) => void): void {
  const done: Pending[] = [];
  try {
    for (const file of pending) {
      trying(file.path);
      renameSync(file.fresh, file.target);
      done.push(file);
    }
  } catch (error) {
    for (const { target, kept } of done) {
      if (existsSync(kept)) renameSync(kept, target);
      else rmSync(target, { force: true });
    }
    throw error;
  }
}

const isFile = (path: string): boolean => statSync(path, { throwIfNoEntry: false })?.isFile() ?? false;

function isSpecial(path: string): boolean {
  const status = statSync(path, { throwIfNoEntry: false });
  return status !== undefined && !status.isFile() && !status.isDirectory();
}

/**
 * Checks before long work that a folder, or its nearest existing parent, may be written to.
 *
 * @throws UserError (code "file") when it may not be written to
 */
export function requireWritable(folder: string): void {
  let there = resolve(folder);
  while (!existsSync(there) && dirname(there) !== there) there = dirname(there);
  try {
    accessSync(there, constants.W_OK);
  } catch (error) {
    throw new UserError(
      "file",
      `Nothing can be written to ${folder}: ${fileFault(error)}. ${writingRemedy(error)}`,
      {
        cause: error,
      },
    );
  }
}

/** Signals with which a person or the system ends a command; SIGKILL cannot be deferred. */
const ENDING = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

/** Turns of the event loop to wait for a signal that came during the work: usually it arrives after one turn, sometimes after two (with one turn, one signal in five was lost). */
const TURNS = 3;

let held: readonly NodeJS.Signals[] = [];
let latest = 0;

/**
 * Does work that must not be interrupted. A signal that comes during the work ends the process a turn of the event loop later, in the same way as without
 * the delay. Signals that already have a listener are left to it.
 */
function holdingSignals<T>(work: () => T): T {
  latest++;
  const own = latest;
  hold();
  try {
    return work();
  } finally {
    after(TURNS, () => {
      if (own === latest) letGo();
    });
  }
}

function hold(): void {
  if (held.length > 0) return;
  held = ENDING.filter((signal) => process.listenerCount(signal) === 0);
  for (const signal of held) process.on(signal, end);
}

function end(signal: NodeJS.Signals): void {
  letGo();
  process.kill(process.pid, signal);
}

function letGo(): void {
  for (const signal of held) process.off(signal, end);
  held = [];
}

function after(turns: number, then: () => void): void {
  if (turns === 0) then();
  else setImmediate(() => after(turns - 1, then));
}

/** Age above which a temporary file is a leftover of a killed process, ms; no write takes this long. */
export const LEFT_OVER_AFTER_MS = 60_000;

const aside = (path: string, end: string): string =>
  join(dirname(path), `.${basename(path)}.${process.pid}.${end}`);

/** Temporary path for the new content of a file. */
const freshName = (path: string): string => aside(path, "new");
/** Temporary path for the old content of a file. */
const keptName = (path: string): string => aside(path, "old");

/** Removes the temporary files that a killed process left next to a file. Does nothing if the folder may be written to but not listed. */
function removeLeftovers(path: string): void {
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

/** Meaning of the system's error codes, for users. */
const MEANING: Readonly<Record<string, string>> = {
  ENOENT: "there is no such file or folder",
  EACCES: "you may not read or write there",
  EPERM: "you may not read or write there",
  EROFS: "that disk cannot be written to",
  ENOSPC: "the disk is full",
  EDQUOT: "your share of the disk is full",
  EISDIR: "that is a folder; a file is wanted",
  ENOTDIR: "a part of the path is a file; a folder is wanted there",
  EEXIST: "something of that name is there already",
  ENAMETOOLONG: "the name is too long for this disk",
  ELOOP: "its links lead in a circle",
  EMFILE: "too many files are open",
  EBUSY: "another program holds it",
};

/** Remedies other than naming another place, by error code. */
const REMEDY: Readonly<Record<string, string>> = {
  EACCES: "get permission to write there",
  EPERM: "get permission to write there",
  ENOSPC: "make room there",
  EDQUOT: "make room there",
};

/** What to do about a file that could not be written. */
function writingRemedy(error: unknown): string {
  const remedy = REMEDY[(error as NodeJS.ErrnoException).code ?? ""];
  return remedy === undefined ? "Name another place." : `Name another place, or ${remedy}.`;
}

/** Whether the file system refused for lack of permission. */
export const isForbidden = (error: unknown): boolean =>
  ["EACCES", "EPERM"].includes((error as NodeJS.ErrnoException).code ?? "");

/** Describes a file error in words; `null` for an error that does not come from the file system. */
export function fileFault(error: unknown): string | null {
  const { code, message } = error as NodeJS.ErrnoException;
  if (!(error instanceof Error) || typeof code !== "string" || !/^E[A-Z0-9]+$/.test(code)) return null;
  return MEANING[code] ?? message;
}
