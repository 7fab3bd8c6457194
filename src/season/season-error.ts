/** The season of a job cannot be worked out; the message says what is missing. */
export class SeasonError extends Error {
  override readonly name = "SeasonError";
}
