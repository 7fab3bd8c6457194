import {
  accessSync,
  chmodSync,
  constants,
  copyFileSync,
  existsSync,
  mkdirSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { UserError } from "./errors.js";
import { asGroup, removeLeftovers, temporaryPath } from "./file-group.js";

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
 * `.NAME.PROCESS-RANDOM.new`. When all are complete they replace the old files; if one cannot be replaced, the old files are put
 * back. This happens in one turn of the event loop with signals deferred, so that only SIGKILL can interrupt it. A killed process leaves each file either old or
 * new, never half written; the next process that writes there completes its group and removes its temporary files. Several files are replaced
 * under a lock, so that two processes never mix theirs.
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
    const prepare = (): readonly Pending[] => {
      for (const [name, content] of Object.entries(files)) {
        at = join(folder, name);
        if (isSpecial(at)) writeFileSync(at, content);
        else pending.push(prepared(at, content));
      }
      for (const { path, target, kept } of pending) {
        at = path;
        if (isFile(target)) copyFileSync(target, kept, constants.COPYFILE_EXCL);
      }
      return pending;
    };
    const replace = (): void =>
      exchange(pending, (path) => {
        at = path;
      });
    try {
      if (names.length > 1) asGroup(folder, prepare, replace);
      else {
        prepare();
        replace();
      }
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
  const fresh = temporaryPath(target, "new");
  try {
    // The file must be created by this call, so that a link placed at that name is not followed.
    writeFileSync(fresh, content, { flag: "wx", flush: true });
    if (before) chmodSync(fresh, before.mode & 0o7777);
  } catch (error) {
    rmSync(fresh, { force: true });
    throw error;
  }
  return { path, target, content, fresh, kept: temporaryPath(target, "old") };
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
 * Makes a new folder with files in it and in folders below, all of them or none: they are written to a temporary folder beside it, which takes its name when all are complete.
 *
 * @param files contents by path below the folder, with `/` between the names
 * @throws UserError (code "file") when the folder is there already or the file system refuses; nothing is left behind then
 */
export function writeFolder(folder: string, files: FileContents): void {
  const fresh = temporaryPath(resolve(folder), "new");
  let at = folder;
  try {
    if (existsSync(folder)) throw Object.assign(new Error("there"), { code: "EEXIST" });
    for (const [name, content] of Object.entries(files)) {
      at = join(folder, name);
      mkdirSync(dirname(join(fresh, name)), { recursive: true });
      writeFileSync(join(fresh, name), content, { flag: "wx", flush: true });
    }
    at = folder;
    renameSync(fresh, folder);
  } catch (error) {
    rmSync(fresh, { recursive: true, force: true });
    const why = fileFault(error);
    if (why === null) throw error;
    throw new UserError("file", `Nothing was written: ${why}: ${at}. ${writingRemedy(error)}`, {
      cause: error,
    });
  }
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
