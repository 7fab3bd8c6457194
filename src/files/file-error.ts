/** A file that cannot be written. The message is a sentence for the person who asked for it. */
export class FileError extends Error {
  override readonly name = "FileError";
}
