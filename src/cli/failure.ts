import { type ErrorCode, EXIT, UserError } from "../core/errors.js";
import { fileFault } from "../core/files.js";
import { Interrupted } from "../core/until-interrupted.js";

/** Errors of the solver, which knows no jobs. */
const OF_SOLVER: readonly ErrorCode[] = ["seating", "cutting-error"];

/** Where to look when the solver refuses a cell of a job. */
const KEYS = "errors in as-cut, or trusted-to, scatter, thickness, grid and limits";
const lookAt = (message: string): string =>
  message.includes("Look for")
    ? `It may be among these: ${KEYS}.`
    : `Look for a value that is far too large for the cell, or in another unit than meant: ${KEYS}.`;

/** Errors about an option, or a file that the message names. */
const PLACED: readonly ErrorCode[] = ["job", "file", "notebook", "picture", "chart"];

/** A message that names a file or an option itself. */
const NAMES_ITS_PLACE = /\.(?:ya?ml|json|csv|ipynb)\b|(?:^|\s)--[a-z]/;

/** The file that a command was given. */
export interface FaultPlace {
  /** Where a key is in it, or the file without a key; `null` if the command was given none. */
  readonly of: (key: readonly string[]) => string | null;
  /** A sentence with its lengths in the units of that file's shop. */
  readonly said: (sentence: string) => string;
}

/**
 * What to print for an error, and the code to end with. An error that does not name its place itself gets it in a line above: file, line and key.
 *
 * @param place where a key is in the file that the command was given, and how that file's shop says lengths
 */
export function failure(
  error: unknown,
  place: FaultPlace = { of: () => null, said: (text) => text },
): { message: string; code: number } {
  if (!(error instanceof Error)) return { message: String(error), code: EXIT.ourFault };
  if (error instanceof Interrupted) return { message: error.message, code: EXIT.interrupted };
  if (error instanceof UserError) {
    const { code, message } = error;
    // A quantity in a file becomes one of the file's faults; on its own it comes from an option.
    if (code === "usage" || code === "quantity") return { message, code: EXIT.usage };
    if (PLACED.includes(code)) return { message, code: EXIT.refused };
    const whole = OF_SOLVER.includes(code) ? `${message} ${lookAt(message)}` : message;
    const named = error.key.length === 0 && NAMES_ITS_PLACE.test(message);
    const where = named ? null : place.of(error.key);
    const said = place.said(whole);
    return { message: where === null ? said : `${where}\n  ${said}`, code: EXIT.refused };
  }
  const why = fileFault(error);
  if (why !== null) {
    const { path } = error as NodeJS.ErrnoException;
    return {
      message: `${why[0]!.toUpperCase()}${why.slice(1)}${path ? `: ${path}` : "."}`,
      code: EXIT.refused,
    };
  }
  return {
    message: `This is a fault in sukima, not in your job: ${error.message}\nPlease report it with the command you ran. Set SUKIMA_TRACE=1 to see where it happened.`,
    code: EXIT.ourFault,
  };
}

/** Reports uncaught errors like every other fault and ends the process; ignores EPIPE, for whoever read the answer (`| head`) has gone. */
export function reportUncaught(complain: (error: unknown) => void): void {
  const end = (error: unknown): void => {
    complain(error);
    process.exit();
  };
  process.on("uncaughtException", end);
  process.on("unhandledRejection", end);
  for (const stream of [process.stdout, process.stderr])
    stream.on("error", (error: NodeJS.ErrnoException) => {
      if (error.code === "EPIPE") process.exit();
      // The complaints have nowhere to go when their own stream is broken.
      if (stream === process.stderr) process.exit(1);
      end(error);
    });
}
