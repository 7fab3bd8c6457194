import { randomBytes } from "node:crypto";
import {
  existsSync,
  readdirSync,
  readFileSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { basename, dirname, join } from "node:path";
import { UserError } from "./errors.js";

// The files that concurrent or killed processes may leave in a folder: a lock while a group of files is replaced, a list of the replacements so that
// the next process completes them, and temporary files. Names end in the process that made them.

/** Age above which a temporary file or a lock is a leftover, whoever made it, ms; no write takes this long. */
const LEFT_OVER_AFTER_MS = 60_000;
/** How long to wait for another process that writes to the folder, ms, and how often to look. */
const LONGEST_WAIT_MS = 10_000;
const LOOK_MS = 20;

const LOCK = ".sukima-writing";
const LIST = ".sukima-group";

/** One file that is being replaced. */
interface Replacement {
  /** Temporary file with the new content, beside its target. */
  readonly fresh: string;
  readonly target: string;
}

/** A temporary path beside a file, for its new or its old content. It cannot be guessed, so that no link can be placed there. */
export const temporaryPath = (path: string, end: "new" | "old"): string =>
  join(dirname(path), `.${basename(path)}.${process.pid}-${randomBytes(6).toString("hex")}.${end}`);

const TEMPORARY = /^\.(.+)\.(\d+)-[0-9a-f]{12}\.(new|old)$/;

/** Removes the temporary files that a killed process left beside a file. */
export function removeLeftovers(path: string): void {
  for (const name of listed(dirname(path))) {
    const [, of, pid] = TEMPORARY.exec(name) ?? [];
    const left = join(dirname(path), name);
    if (of === basename(path) && isLeftOver(left, Number(pid))) rmSync(left, { force: true });
  }
}

/** Whether the process that made a file has ended, or the file is too old to be in use. */
function isLeftOver(path: string, pid: number): boolean {
  const status = statSync(path, { throwIfNoEntry: false });
  if (status === undefined) return false;
  return status.mtimeMs < Date.now() - LEFT_OVER_AFTER_MS || !isRunning(pid);
}

/** Whether a process with this id is running on this machine, whoever owns it. */
export function isRunning(pid: number): boolean {
  try {
    return process.kill(pid, 0);
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "EPERM";
  }
}

/**
 * Replaces a group of files of one folder atomically: no other process replaces files there meanwhile, and if this process is killed in the middle, the next
 * one that writes to the folder completes the group.
 *
 * @param prepare makes the temporary files
 * @param replace puts them in their places, or none of them
 * @throws UserError (code "file") when another process does not release its lock on the folder
 */
export function asGroup(folder: string, prepare: () => readonly Replacement[], replace: () => void): void {
  const lock = join(folder, LOCK);
  takeLock(lock, folder);
  try {
    completeGroup(folder);
    const files = prepare();
    const list = join(folder, LIST);
    if (files.every(({ target }) => realpathSync(dirname(target)) === realpathSync(folder)))
      writeFileSync(
        list,
        JSON.stringify(files.map(({ fresh, target }) => [basename(fresh), basename(target)])),
        {
          flag: "wx",
          flush: true,
        },
      );
    try {
      replace();
    } finally {
      rmSync(list, { force: true });
    }
  } finally {
    rmSync(lock, { force: true });
  }
}

function takeLock(lock: string, folder: string): void {
  for (let waited = 0; ; waited += LOOK_MS) {
    try {
      writeFileSync(lock, String(process.pid), { flag: "wx" });
      return;
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== "EEXIST") throw error;
    }
    if (isOldLock(lock)) {
      // Of several processes that find it, one can rename it.
      const aside = temporaryPath(lock, "old");
      if (attempted(() => renameSync(lock, aside))) rmSync(aside, { force: true });
      continue;
    }
    if (waited >= LONGEST_WAIT_MS)
      throw new UserError(
        "file",
        `Nothing was written: another sukima is writing to that folder; wait until it has ended: ${folder}.`,
      );
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, LOOK_MS);
  }
}

/** Longest time between making a lock and writing its process into it, ms. */
const LOCK_EMPTY_MS = 1000;

function isOldLock(lock: string): boolean {
  try {
    const pid = Number(readFileSync(lock, "utf8"));
    if (pid > 0) return isLeftOver(lock, pid);
    return statSync(lock).mtimeMs < Date.now() - LOCK_EMPTY_MS;
  } catch {
    // It no longer exists, or another process is removing it.
    return false;
  }
}

/** Completes the group that a killed process had begun to put in place. */
function completeGroup(folder: string): void {
  const list = join(folder, LIST);
  if (!existsSync(list)) return;
  for (const [fresh, target] of groupIn(list))
    if (existsSync(join(folder, fresh))) renameSync(join(folder, fresh), join(folder, target));
  rmSync(list, { force: true });
}

/** The pairs of names in a list; none where it was not completely written, or names anything but temporary files of this folder and their targets. */
function groupIn(list: string): readonly (readonly [fresh: string, target: string])[] {
  try {
    const pairs: unknown = JSON.parse(readFileSync(list, "utf8"));
    const isPair = (pair: unknown): pair is [string, string] =>
      Array.isArray(pair) && pair.length === 2 && TEMPORARY.exec(String(pair[0]))?.[1] === pair[1];
    const isPlain = ([, target]: [string, string]): boolean => basename(target) === target;
    return Array.isArray(pairs) && pairs.every((pair) => isPair(pair) && isPlain(pair)) ? pairs : [];
  } catch {
    return [];
  }
}

/** Whether a step of the file system succeeded. */
function attempted(step: () => void): boolean {
  try {
    step();
    return true;
  } catch {
    return false;
  }
}

/** Empty where the folder may be written to but not listed. */
function listed(folder: string): readonly string[] {
  try {
    return readdirSync(folder);
  } catch (error) {
    if (["EACCES", "EPERM"].includes((error as NodeJS.ErrnoException).code ?? "")) return [];
    throw error;
  }
}
