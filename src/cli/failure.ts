import { EXIT, Interrupted, UsageError } from "../core/errors.js";
import { fileFault } from "../core/files/file-fault.js";

/** Errors whose message is written for the person who runs the command. */
const FOR_PEOPLE = new Set([
  "JobError",
  "FileError",
  "LatticeError",
  "PredictError",
  "NotebookError",
  "ReportError",
  "ExplainError",
  "ForecastError",
  "PanelError",
  "SeasonError",
  "CutListError",
  "ToleranceError",
  "PictureError",
  "ChartError",
  "GaugeStudyError",
  "MysteryError",
  "CliError",
]);

/** The solver knows no jobs: where to look when a cell of one cannot be seated. */
const LOOK_AT_SIZES =
  "Look for an error, a tolerance or a spread in the job that is far too large for the cell, or for a unit that is not meant.";

/** What to print for an error, and the code to end with. */
export function failure(error: unknown): { message: string; code: number } {
  if (!(error instanceof Error)) return { message: String(error), code: EXIT.ourFault };
  if (error instanceof Interrupted) return { message: error.message, code: EXIT.interrupted };
  // Files tell of a quantity as of a fault with its place: by itself it comes from an option.
  if (error instanceof UsageError || error.name === "QuantityError")
    return { message: error.message, code: EXIT.usage };
  if (error.name === "SeatingError")
    return { message: `${error.message} ${LOOK_AT_SIZES}`, code: EXIT.refused };
  if (FOR_PEOPLE.has(error.name)) return { message: error.message, code: EXIT.refused };
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
