import { z } from "zod";
import type { $ZodIssue } from "zod/v4/core";
import { at } from "../../core/numeric/dense.js";
import { type LengthUnit, parseAngle, parseLength, type SignRule } from "../../core/quantity/index.js";
import { describe, listed, turnsText } from "../../core/text.js";
import { type FaultParts, faultSentence, nearest, orRefuse, Unfit, unknownWord } from "../faults.js";
import { beyondLimits, type LengthLimits, lengthWithin } from "../likely-slip.js";
import type { Spelling } from "./job-examples.js";

const LONGEST_LIST = 200;
const LONGEST_TEXT = 200;

type Leaf<T> = z.ZodType<T>;

/** Shape of a single value read by `read`; `what` names it in messages. */
export function leaf<T>(what: string, read: (input: unknown) => T, limits?: LengthLimits): Leaf<T> {
  return z.unknown().transform((input, context): T => {
    const refuse = (message: string, meant?: string): void => {
      context.issues.push({ code: "custom", input, message, params: { hint: { meant, limits } } });
    };
    if (input === undefined) {
      refuse(missing(what));
      return z.NEVER;
    }
    const value = orRefuse(what, input, () => read(filled(input)), refuse);
    return value === undefined ? z.NEVER : value;
  });
}

/** Hints of a leaf about a valid value: what was probably meant, and the limits of a length. */
interface Hint {
  readonly meant: string | undefined;
  readonly limits: LengthLimits | undefined;
}

/** The usual example of a key, `width: 280 mm`, or one that suits the hint better. */
function exampleBy(usual: string, { meant, limits }: Hint): string {
  const [, key, value] = /^([^:]+): (.*)$/.exec(usual) ?? [];
  if (key === undefined || value === undefined) return usual;
  if (meant !== undefined) return `${key}: ${meant}`;
  const mm = limits && /^-?[\d.]+ mm$/.test(value) ? Number.parseFloat(value) : undefined;
  return limits && mm !== undefined && beyondLimits(mm, value, "mm", limits)
    ? `${key}: ${lengthWithin(limits)}`
    : usual;
}

function filled(input: unknown): unknown {
  if (input === null)
    throw new Unfit("nothing follows its colon", "write a value, or leave the whole line out");
  return input;
}

/** Shape of a length, mm, within limits if any are given. A number without a unit is in `unit`. */
export const length = (what: string, unit: LengthUnit, sign: SignRule, limits?: LengthLimits): Leaf<number> =>
  leaf(
    what,
    (input) => {
      const mm = parseLength(input, { unit, sign, what });
      const beyond = limits && beyondLimits(mm, input, unit, limits);
      if (beyond) throw new Unfit(beyond.problem, beyond.rule, beyond.meant);
      return mm;
    },
    limits,
  );

/** Shape of an angle, rad, of at most `most` rad in either direction. A number without a unit is in degrees. */
export const angle = (
  what: string,
  sign: SignRule,
  most = Number.POSITIVE_INFINITY,
  rule = "",
): Leaf<number> =>
  leaf(what, (input) => {
    const rad = parseAngle(input, { sign, what });
    if (Math.abs(rad) >= most) throw new Unfit("it is out of reach", rule);
    return rad;
  });

/** Shape of a dimensionless number that passes `fits`. */
export const number = (what: string, fits: (value: number) => boolean, rule: string): Leaf<number> =>
  leaf(what, (input) => {
    if (typeof input !== "number" || !Number.isFinite(input))
      throw new Unfit(
        "it is not a number",
        "write digits with a point for the decimals, no unit and no quotation marks",
      );
    if (!fits(input)) throw new Unfit("it is out of reach", rule);
    return input;
  });

/** Shape of one word of a list. */
export const word = <T extends string>(what: string, kind: string, words: readonly T[]): Leaf<T> =>
  leaf(what, (input) => {
    const found = words.find((known) => known === input);
    if (found === undefined) throw unknown(String(input), kind, words);
    return found;
  });

/** `true` or `false`. */
export const flag = (what: string): Leaf<boolean> =>
  leaf(what, (input) => {
    if (typeof input !== "boolean") throw new Unfit("it is neither true nor false", "write one of the two");
    return input;
  });

/** A short text on one line. */
export const text = (what: string): Leaf<string> =>
  leaf(what, (input) => {
    if (typeof input !== "string")
      throw new Unfit("it is not a text", "put a text that looks like something else in quotation marks");
    if (input.trim() === "" || input.length > LONGEST_TEXT || /[\p{Cc}\p{Zl}\p{Zp}]/u.test(input))
      throw new Unfit("it cannot be shown", `a text is one line of 1 to ${LONGEST_TEXT} characters`);
    if (turnsText(input))
      throw new Unfit(
        "it contains a character that changes the direction of the text",
        "leave that character out",
      );
    return input.trim();
  });

/** A list with at least one member. */
export const list = <T>(member: Leaf<T>): z.ZodType<T[]> => z.array(member).min(1).max(LONGEST_LIST);

/** A single member, or a list without repeated members. */
export const oneOrMore = <T>(what: string, member: Leaf<T>): z.ZodType<T[]> =>
  z
    .preprocess((input) => (Array.isArray(input) ? input : [input]), list(member))
    .superRefine((members, context) => {
      if (new Set(members).size < members.length)
        context.addIssue({
          code: "custom",
          params: { what, problem: "a member is listed twice", rule: "each is written once" },
        });
    });

/** Sizes in ascending order, mm. */
export const risingLengths = (what: string, unit: LengthUnit, limits: LengthLimits): z.ZodType<number[]> =>
  list(length(what, unit, "positive", limits)).superRefine((sizes, context) => {
    for (const [i, size] of sizes.entries())
      if (i > 0 && size <= at(sizes, i - 1))
        context.addIssue({
          code: "custom",
          path: [i],
          params: {
            what,
            problem: "this one is not thicker than the one before it",
            rule: "they are listed from thin to thick, each once",
          },
        });
  });

function unknown(typed: string, kind: string, words: readonly string[]): Unfit {
  const [problem, rule] = unknownWord(typed, kind, words);
  return new Unfit(problem, rule);
}

interface IssueFault {
  readonly path: readonly (string | number)[];
  /** Whether the key is wrong rather than its value. */
  readonly ofKey: boolean;
  readonly sentence: string;
  readonly example?: string;
}

/** The message for an issue that a shape raised at a path, where the file has `value`. */
export function issueFaults(
  path: readonly (string | number)[],
  issue: $ZodIssue,
  value: unknown,
  spelling: Spelling,
): IssueFault[] {
  if (issue.code === "unrecognized_keys") return issue.keys.map((key) => unknownKey(path, key, spelling));
  const what = String(path.findLast((step) => typeof step === "string") ?? "job file");
  const say = (problem: string, rule: string): IssueFault[] => [
    { path, ofKey: false, sentence: faultSentence({ what, problem, rule, value }) },
  ];
  if (issue.code === "invalid_type") {
    if (value === undefined) return [{ path, ofKey: false, sentence: missing(what) }];
    return issue.expected === "array"
      ? say("it is not a list", "its members are written between square brackets, with commas between them")
      : say(
          "it is not a group of keys",
          "its keys are written below it, further to the right, or between curly brackets",
        );
  }
  if (issue.code === "too_small") return say("the list is empty", "it needs one member at least");
  if (issue.code === "too_big") return say("the list is too long", `at most ${issue.maximum} are read`);
  if (issue.code === "custom" && issue.params && !("hint" in issue.params)) {
    const parts = issue.params as Omit<FaultParts, "value">;
    return [{ path, ofKey: false, sentence: faultSentence({ ...parts, value }) }];
  }
  // A rejection by a leaf of the shape is already a complete sentence.
  const { hint } = ((issue.code === "custom" && issue.params) || {}) as { readonly hint?: Hint };
  const named = typeof path.at(-1) === "string";
  const example = hint && named ? { example: exampleBy(spelling.exampleFor(path), hint) } : {};
  return [{ path, ofKey: false, sentence: issue.message, ...example }];
}

/** The message for a missing key. */
const missing = (what: string): string =>
  faultSentence({ what, problem: "it is missing", rule: "it has no default, so it must be given" });

function unknownKey(
  path: readonly (string | number)[],
  key: string,
  { keysKnown, exampleFor }: Spelling,
): IssueFault {
  const known = keysKnown(path);
  const near = nearest(key, known);
  const guess = near === undefined ? "" : `Did you mean ${near}? `;
  return {
    path: [...path, key],
    ofKey: true,
    sentence: `The key ${describe(key)} is not known here. ${guess}The keys here are ${listed(known)}.`,
    example: exampleFor([...path, near ?? at(known, 0)]),
  };
}
