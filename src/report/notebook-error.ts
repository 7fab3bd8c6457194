/**
 * A notebook that cannot be read, run or shown. `message` is one sentence for a person; `detail` holds the full
 * text behind it (stack, kernel log), empty when there is none.
 */
export class NotebookError extends Error {
  override readonly name = "NotebookError";
  readonly detail: string;

  constructor(message: string, detail = "", options?: ErrorOptions) {
    super(message, options);
    this.detail = detail;
  }
}
