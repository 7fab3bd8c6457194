import { copyFileSync, existsSync, mkdirSync, renameSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";

/** The files of a report, by name. */
export type ReportFiles = Readonly<Record<string, string | Uint8Array>>;

interface Pending {
  readonly target: string;
  readonly content: string | Uint8Array;
  readonly fresh: string;
  readonly kept: string;
}

/**
 * Writes the files of a report: all of them or none. Each is first written beside its place under a name of its own
 * (`.NAME.PROCESS.new`); when all are there they take the places of the old ones, and if one cannot, the old ones are
 * put back. All in one turn of the event loop, so that no signal finds it half done.
 *
 * @returns the paths, by name
 * @throws Error of the file system; the previous report is then as it was
 */
export function writeReport(folder: string, files: ReportFiles): Record<string, string> {
  mkdirSync(folder, { recursive: true });
  const pending = Object.entries(files).map(([name, content]): Pending => {
    const aside = join(folder, `.${name}.${process.pid}`);
    return { target: join(folder, name), content, fresh: `${aside}.new`, kept: `${aside}.old` };
  });
  try {
    for (const { fresh, content } of pending) writeFileSync(fresh, content);
    for (const { target, kept } of pending) if (isFile(target)) copyFileSync(target, kept);
    exchange(pending);
  } finally {
    for (const { fresh, kept } of pending) for (const path of [fresh, kept]) rmSync(path, { force: true });
  }
  return Object.fromEntries(Object.keys(files).map((name, i) => [name, pending[i]!.target]));
}

function exchange(pending: readonly Pending[]): void {
  const done: Pending[] = [];
  try {
    for (const file of pending) {
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
