import { Exact, ratio } from "./exact.js";
import { readTerms, type SignedTerms } from "./read-terms.js";
import type { Refusal } from "./refusal.js";

/** Whatever a file or a caller gives, taken apart. A number is read as its shortest decimal. */
export function readInput(input: unknown, refuse: Refusal): SignedTerms {
  if (typeof input === "string") return readTerms(input, refuse);
  if (typeof input !== "number")
    throw refuse("it is neither a number nor a text", "write a number, or a number with its unit");
  if (!Number.isFinite(input)) throw refuse("it is not a finite number", "only ordinary numbers can be used");
  const value = new Exact(input);
  return { negative: value.isNeg(), terms: [{ amount: ratio(value.abs()), unit: "" }] };
}
