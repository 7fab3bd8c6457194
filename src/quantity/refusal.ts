import { describe } from "./describe.js";
import { QuantityError } from "./quantity-error.js";

/** Makes the error for one call; the call throws it. */
export type Refusal = (problem: string, rule: string, ...examples: string[]) => QuantityError;

/** The errors of one call: what it reads, the value it was given, examples that it would take. */
export function refusal(what: string, value: unknown, ...usual: string[]): Refusal {
  return (problem, rule, ...examples) =>
    new QuantityError({
      what,
      problem,
      rule,
      value: describe(value),
      examples: examples.length > 0 ? examples : usual,
    });
}
