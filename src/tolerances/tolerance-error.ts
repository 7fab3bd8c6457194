/** Tolerances cannot be worked out as asked: what is wrong; the rule; the value. */
export class ToleranceError extends Error {
  override readonly name = "ToleranceError";
}
