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
export function writingRemedy(error: unknown): string {
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
