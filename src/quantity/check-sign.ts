import { type Refusal, refusal } from "./refusal.js";
import type { SignRule } from "./units.js";

const RULES: readonly SignRule[] = ["any", "positive", "non-negative"];

/** Refuses a value whose sign the caller does not allow. */
export function checkSign(value: number, sign: SignRule, refuse: Refusal): void {
  if (!RULES.includes(sign))
    throw refusal("sign option", sign, "positive")("it is not known", `it is one of ${RULES.join(", ")}`);
  if (sign === "positive" && value <= 0)
    throw refuse(value < 0 ? "it is negative" : "it is zero", "it must be more than zero");
  if (sign === "non-negative" && value < 0) throw refuse("it is negative", "it must be zero or more");
}
