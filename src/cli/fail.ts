/** Exit codes of every command. */
export const EXIT = { done: 0, refused: 1, usage: 2, ourFault: 3 } as const;

/** Errors whose message is written for the person who runs the command. */
const FOR_PEOPLE = new Set([
  "JobError",
  "QuantityError",
  "LatticeError",
  "PredictError",
  "SeatingError",
  "NotebookError",
  "ReportError",
  "ExplainError",
  "OutlookError",
  "PanelError",
  "SeasonError",
  "CutListError",
  "ToleranceError",
  "PictureError",
  "MysteryError",
  "CliError",
]);

/** Something wrong with what the command line names. */
export class CliError extends Error {
  override readonly name = "CliError";
}

/** What to print for an error, and the code to end with. */
export function failure(error: unknown): { message: string; code: number } {
  if (!(error instanceof Error)) return { message: String(error), code: EXIT.ourFault };
  if (FOR_PEOPLE.has(error.name)) return { message: error.message, code: EXIT.refused };
  const { code } = error as NodeJS.ErrnoException;
  if (typeof code === "string" && /^E[A-Z]+$/.test(code))
    return { message: fileSentence(error, code), code: EXIT.refused };
  return {
    message: `This is a fault in sukima, not in your job: ${error.message}\nPlease report it with the command you ran. Set SUKIMA_TRACE=1 to see where it happened.`,
    code: EXIT.ourFault,
  };
}

const FILE_FAULTS: Record<string, string> = {
  ENOENT: "there is no such file or folder",
  EACCES: "you may not read or write there",
  EPERM: "you may not read or write there",
  EROFS: "that disk cannot be written to",
  ENOSPC: "the disk is full",
  EISDIR: "that is a folder; a file is wanted",
  ENOTDIR: "a folder is wanted there",
};

function fileSentence(error: Error, code: string): string {
  const { path } = error as NodeJS.ErrnoException;
  return `${FILE_FAULTS[code] ?? error.message}${path ? `: ${path}` : ""}`;
}
