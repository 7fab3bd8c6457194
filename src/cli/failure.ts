import { EXIT, UserError } from "../core/errors.js";
import { fileFault } from "../core/files.js";
import { Interrupted } from "../core/until-interrupted.js";

/** The solver knows no jobs: where to look when a cell of one cannot be seated. */
const LOOK_AT_SIZES =
  "Look for an error, a tolerance or a spread in the job that is far too large for the cell, or for a unit that is not meant.";

/** What to print for an error, and the code to end with. */
export function failure(error: unknown): { message: string; code: number } {
  if (!(error instanceof Error)) return { message: String(error), code: EXIT.ourFault };
  if (error instanceof Interrupted) return { message: error.message, code: EXIT.interrupted };
  if (error instanceof UserError) {
    const { code, message } = error;
    // A quantity in a file becomes one of the file's faults; on its own it comes from an option.
    if (code === "usage" || code === "quantity") return { message, code: EXIT.usage };
    return { message: code === "seating" ? `${message} ${LOOK_AT_SIZES}` : message, code: EXIT.refused };
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
