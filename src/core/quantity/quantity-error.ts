import { UserError } from "../errors.js";
import { describe } from "../text.js";

/** The parts of the message of a {@link QuantityError}. */
export interface QuantityFault {
  /** What was being read or printed, in the words of the user's file: `strip thickness`. */
  readonly what: string;
  /** What is wrong with it. */
  readonly problem: string;
  /** The rule it breaks. */
  readonly rule: string;
  /** The value as found, as it is shown. */
  readonly value: string;
  /** Forms that the same call accepts, without quotation marks. */
  readonly examples: readonly string[];
}

/**
 * Thrown for a length, an angle or an option that cannot be used. The message says
 * what is wrong, the rule, the value and a correct example. The caller adds file and line.
 */
export class QuantityError extends UserError implements QuantityFault {
  override readonly name = "QuantityError";
  readonly what: string;
  readonly problem: string;
  readonly rule: string;
  readonly value: string;
  readonly examples: readonly string[];

  constructor(fault: QuantityFault) {
    const examples = fault.examples.map((example) => `“${example}”`).join(" or ");
    const broken = `${fault.what}: ${fault.problem}; ${fault.rule}`;
    super("quantity", `${broken}; the value was ${fault.value}; write for example ${examples}.`);
    this.what = fault.what;
    this.problem = fault.problem;
    this.rule = fault.rule;
    this.value = fault.value;
    this.examples = fault.examples;
  }
}

/** Makes the error of one call, which the call throws. */
export type Refusal = (problem: string, rule: string, ...examples: string[]) => QuantityError;

/** Makes a {@link Refusal} for one call from what it reads, its value and examples that it accepts. */
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
