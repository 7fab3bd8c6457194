/** An outlook that cannot be worked out as asked: what is wrong, the rule, the value. */
export class OutlookError extends Error {
  override readonly name = "OutlookError";
}
