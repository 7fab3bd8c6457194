import { describe } from "../quantity/describe.js";
import { QuantityError } from "../quantity/index.js";
import { Refusal } from "./refusal.js";

/** A value that cannot be used; whoever knows its place makes a fault of it. */
export class Unfit extends Refusal {
  override readonly name = "Unfit";
}

export interface FaultParts {
  /** What the value is of, in the joiner's words: `strip`, `low end`. */
  readonly what: string;
  readonly problem: string;
  readonly rule: string;
  /** Left out where the problem already shows it, or there is none. */
  readonly value?: unknown;
}

/** The one shape of a fault's sentence: what is wrong; the rule; the value. */
export function faultSentence({ what, problem, rule, value }: FaultParts): string {
  const found = value === undefined || value === null ? "" : `; the value was ${describe(value)}`;
  return `${what.charAt(0).toUpperCase()}${what.slice(1)}: ${problem}; ${rule}${found}.`;
}

/** Runs `read`; what it refuses of `value` goes to `refuse` as a sentence, and there is no result. */
export function orRefuse<T>(
  what: string,
  value: unknown,
  read: () => T,
  refuse: (sentence: string) => void,
): T | undefined {
  try {
    return read();
  } catch (error) {
    if (!(error instanceof QuantityError || error instanceof Unfit)) throw error;
    refuse(faultSentence({ what, problem: error.problem, rule: error.rule, value }));
    return undefined;
  }
}
