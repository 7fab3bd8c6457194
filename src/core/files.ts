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

/**
 * Writes one file, whole or not at all, as {@link writeFiles} does. Its folder is made when missing.
 *
 * @throws UserError (code "file") when the file system refuses; the previous file is then as it was
 */
export function writeFile(path: string, content: string | Uint8Array): void {
  writeFiles(dirname(path), { [basename(path)]: content });
}

/** Contents by name of file. */
type FileContents = Readonly<Record<string, string | Uint8Array>>;

interface Pending {
  /** As the caller named it. */
  readonly path: string;
  /** Where it goes: the end of a link. */
  readonly target: string;
  readonly content: string | Uint8Array;
  readonly fresh: string;
  readonly kept: string;
}

/**
 * Writes files of one folder, made when missing: all of them or none. Each is first written beside its place under a name of its
 * own (`.NAME.PROCESS.new`); when all are there they take the places of the old ones, and if one cannot, the old ones are put
 * back. All in one turn of the event loop, while signals wait, so that none but SIGKILL finds it half done; one killed leaves each file as it was or
 * as it was to be, never in between, and what it left beside them is removed by the next one that writes there.
 *
 * A link is followed. A name that stands for a device or a pipe is written to as it is.
 *
 * @returns the paths, by name
 * @throws UserError (code "file") when the file system refuses; the previous files are then as they were
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
      `Nothing was written: ${why}; what stood there before is as it was: ${at}. ${writingRemedy(error)}`,
      { cause: error },
    );
  }
  return Object.fromEntries(names.map((name) => [name, join(folder, name)]));
}

/** The content beside its place, with the rights of the file it will replace. */
function prepared(path: string, content: string | Uint8Array): Pending {
  const target = existsSync(path) ? realpathSync(path) : path;
  const before = statSync(target, { throwIfNoEntry: false });
  // A rename asks the folder alone: a file that may not be written to is left in peace.
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
 * Finds out before long work whether a folder may be written to: itself, or the nearest one above it that is there.
 *
 * @throws UserError (code "file") when it may not
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

/** What a person or a system ends a command with; SIGKILL cannot be held. */
const ENDING = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

/** What came during some work is heard a turn of the event loop later, now and then two: after one, one signal in five was lost. */
const TURNS = 3;

let held: readonly NodeJS.Signals[] = [];
let latest = 0;

/**
 * Does work that must not be cut off in the middle: a signal that comes meanwhile ends the process a turn of the event loop later, as it would have ended it at
 * once. Signals that someone listens for already are left to them.
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

/** A file of this name is older than any writing takes, ms: whoever began it was killed. */
export const LEFT_OVER_AFTER_MS = 60_000;

const aside = (path: string, end: string): string =>
  join(dirname(path), `.${basename(path)}.${process.pid}.${end}`);

/** Where the new content of a file waits. */
const freshName = (path: string): string => aside(path, "new");
/** Where the old content of a file waits. */
const keptName = (path: string): string => aside(path, "old");

/** Removes what a killed process left beside a file; nothing where the folder may be written to and not listed. */
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

/** What the system's error codes mean to someone who looks at a folder. */
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

/** What to do where more can be done than to name another place. */
const REMEDY: Readonly<Record<string, string>> = {
  EACCES: "see that you may write there",
  EPERM: "see that you may write there",
  ENOSPC: "make room there",
  EDQUOT: "make room there",
};

/** What to do about a file that could not be written. */
function writingRemedy(error: unknown): string {
  const remedy = REMEDY[(error as NodeJS.ErrnoException).code ?? ""];
  return remedy === undefined ? "Name another place." : `Name another place, or ${remedy}.`;
}

/** Whether the file system refused because of whose a file is. */
export const isForbidden = (error: unknown): boolean =>
  ["EACCES", "EPERM"].includes((error as NodeJS.ErrnoException).code ?? "");

/** What went wrong with a file, in words; `null` for an error that does not come from the file system. */
export function fileFault(error: unknown): string | null {
  const { code, message } = error as NodeJS.ErrnoException;
  if (!(error instanceof Error) || typeof code !== "string" || !/^E[A-Z0-9]+$/.test(code)) return null;
  return MEANING[code] ?? message;
}
