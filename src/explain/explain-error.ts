/** Nothing can be explained from what was given; the message says what is missing. */
export class ExplainError extends Error {
  override readonly name = "ExplainError";
}
