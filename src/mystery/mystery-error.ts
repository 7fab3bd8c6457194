/** A mystery that cannot be made or marked; the message says why. */
export class MysteryError extends Error {
  override readonly name = "MysteryError";
}
