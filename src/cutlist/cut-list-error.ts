/** A cut list cannot be made of a job: what is wrong; the rule; the value; what to write instead. */
export class CutListError extends Error {
  override readonly name = "CutListError";
}
