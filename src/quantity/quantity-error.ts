/** The parts of the one sentence a {@link QuantityError} says. */
export interface QuantityFault {
  /** What was being read or printed, in the words of the user's own file: `strip thickness`. */
  readonly what: string;
  /** What is wrong with it. */
  readonly problem: string;
  /** The rule it breaks. */
  readonly rule: string;
  /** The value as found, ready to be shown. */
  readonly value: string;
  /** Forms that the same call accepts, without quotation marks. */
  readonly examples: readonly string[];
}

/**
 * A length, an angle or an option that cannot be used. The message is one sentence:
 * what is wrong; the rule; the value; a correct example. Whoever knows the file and line adds them.
 */
export class QuantityError extends Error implements QuantityFault {
  override readonly name = "QuantityError";
  readonly what: string;
  readonly problem: string;
  readonly rule: string;
  readonly value: string;
  readonly examples: readonly string[];

  constructor(fault: QuantityFault) {
    const examples = fault.examples.map((example) => `“${example}”`).join(" or ");
    const broken = `${fault.what}: ${fault.problem}; ${fault.rule}`;
    super(`${broken}; the value was ${fault.value}; write for example ${examples}.`);
    this.what = fault.what;
    this.problem = fault.problem;
    this.rule = fault.rule;
    this.value = fault.value;
    this.examples = fault.examples;
  }
}
