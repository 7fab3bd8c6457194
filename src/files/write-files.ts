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
import { join } from "node:path";
import { FileError } from "./file-error.js";
import { fileFault, writingRemedy } from "./file-fault.js";
import { holdingSignals } from "./holding-signals.js";
import { freshName, keptName, removeLeftovers } from "./temporary-names.js";

/** Contents by name of file. */
export type FileContents = Readonly<Record<string, string | Uint8Array>>;

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
 * @throws FileError when the file system refuses; the previous files are then as they were
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
    throw new FileError(
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
