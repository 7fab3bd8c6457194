import { existsSync, readFileSync, realpathSync, type Stats, statSync } from "node:fs";
import { extname } from "node:path";
import { isUserError, UserError } from "../core/errors.js";
import { fileFault } from "../core/files.js";
import { MAX_FILE_BYTES } from "./files.js";
import { readTable } from "./table.js";
import { TRIALS_TABLE } from "./trials/trials-csv.js";

// Files that a command may overwrite: only an earlier output of the same kind, never a file that a user has written.

/** The kinds of file that commands write. */
type OutputKind = "page" | "record" | "table";

interface Kind {
  readonly endings: readonly string[];
  readonly example: string;
  /** Whether an existing file is an earlier output of this kind. */
  readonly isOwn: (path: string) => boolean;
}

const KINDS: Readonly<Record<OutputKind, Kind>> = {
  page: {
    endings: [".html", ".htm"],
    example: "page.html",
    isOwn: () => true,
  },
  record: {
    endings: [".yaml", ".yml"],
    example: "jigs.yaml",
    isOwn: (path) => /^from:/m.test(startOf(path)) && !/^(pattern|opening):/m.test(startOf(path)),
  },
  table: { endings: [".csv"], example: "plan.csv", isOwn: (path) => !holdsReadings(path) },
};

/**
 * Checks, before anything is computed, that an output may be written to a file: it has the extension of its kind, the job does not read it, and an existing file
 * is an earlier output of the same kind. Devices and pipes may always be written to.
 *
 * @param inputs files that the command reads
 * @throws UserError (code "file")
 */
export function requireOutput(path: string, kind: OutputKind, inputs: readonly string[] = []): void {
  const status = statusOf(path);
  if (status !== undefined && !status.isFile()) return;
  const { endings, example, isOwn } = KINDS[kind];
  const say = (what: string, rule: string): UserError =>
    new UserError(
      "file",
      `Nothing was written: ${what}; ${rule}: ${path}. Name another place, such as ${example}.`,
    );
  if (!endings.includes(extname(path).toLowerCase()))
    throw say("the name of the file has another ending", `it ends in ${endings.join(" or ")}`);
  if (status === undefined || status.size === 0) return;
  if (inputs.some((input) => isSame(input, path)))
    throw say("the command reads that file", "an answer never replaces what it comes from");
  if (!ownOrUnreadable(path, isOwn))
    throw say("that file holds something else", "only an earlier answer of the same command is replaced");
}

/** `undefined` if the file does not exist or cannot be reached, which the writer reports. */
function statusOf(path: string): Stats | undefined {
  try {
    return statSync(path);
  } catch (error) {
    if (fileFault(error) !== null) return undefined;
    throw error;
  }
}

/** A file without read permission is left to the writer, which has its own message for it. */
function ownOrUnreadable(path: string, isOwn: Kind["isOwn"]): boolean {
  try {
    return isOwn(path);
  } catch (error) {
    if (fileFault(error) !== null) return true;
    throw error;
  }
}

const isSame = (a: string, b: string): boolean => existsSync(a) && realpathSync(a) === realpathSync(b);

const startOf = (path: string): string => readFileSync(path).subarray(0, MAX_FILE_BYTES).toString("utf8");

/** Whether a file is anything other than a table of trials still to be filled in. */
function holdsReadings(path: string): boolean {
  try {
    const { rows } = readTable(path, TRIALS_TABLE);
    return rows.some((row) => (["value", "low", "high"] as const).some((column) => row.get(column) !== ""));
  } catch (error) {
    if (isUserError(error, "job")) return true;
    throw error;
  }
}
