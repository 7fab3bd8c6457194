/** A panel that cannot be reckoned with, or options out of range. */
export class PanelError extends Error {
  override readonly name = "PanelError";
}
