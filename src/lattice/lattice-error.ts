/** A cell or bench that cannot be built at the sizes asked for; the message says what is wrong and what would be right. */
export class LatticeError extends Error {
  override readonly name = "LatticeError";
}
