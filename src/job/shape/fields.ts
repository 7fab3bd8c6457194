import { z } from "zod";
import { type LengthUnit, parseAngle, parseLength, type SignRule } from "../../quantity/index.js";
import { turnsText } from "../../quantity/spell-out.js";
import { orRefuse, Unfit } from "../unfit.js";
import { unknownWord } from "../words.js";
import { missing } from "./issue-faults.js";

const LONGEST_LIST = 200;
const LONGEST_TEXT = 200;

type Leaf<T> = z.ZodType<T>;

/** A single value read by `read`; `what` names it in messages. */
export function leaf<T>(what: string, read: (input: unknown) => T): Leaf<T> {
  return z.unknown().transform((input, context): T => {
    const refuse = (message: string): void => {
      context.issues.push({ code: "custom", input, message });
    };
    if (input === undefined) {
      refuse(missing(what));
      return z.NEVER;
    }
    const value = orRefuse(what, input, () => read(filled(input)), refuse);
    return value === undefined ? z.NEVER : value;
  });
}

function filled(input: unknown): unknown {
  if (input === null)
    throw new Unfit("nothing follows its colon", "write a value, or leave the whole line out");
  return input;
}

/** A length, mm. A bare number is in `unit`. */
export const length = (what: string, unit: LengthUnit, sign: SignRule): Leaf<number> =>
  leaf(what, (input) => parseLength(input, { unit, sign, what }));

/** An angle, rad, of at most `most` rad either way. A bare number is in degrees. */
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

/** A plain number that passes `fits`. */
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

/** One of a few words. */
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
      throw new Unfit(
        "it is not a text",
        "a text that looks like something else stands between quotation marks",
      );
    if (input.trim() === "" || input.length > LONGEST_TEXT || /[\p{Cc}\p{Zl}\p{Zp}]/u.test(input))
      throw new Unfit("it cannot be shown", `a text is one line of 1 to ${LONGEST_TEXT} characters`);
    if (turnsText(input))
      throw new Unfit("it holds a sign that turns the direction of the text", "leave that sign out");
    return input.trim();
  });

/** A list with at least one member. */
export const list = <T>(member: Leaf<T>): z.ZodType<T[]> => z.array(member).min(1).max(LONGEST_LIST);

/** One member by itself, or a list; no member twice. */
export const oneOrMore = <T>(what: string, member: Leaf<T>): z.ZodType<T[]> =>
  z
    .preprocess((input) => (Array.isArray(input) ? input : [input]), list(member))
    .superRefine((members, context) => {
      if (new Set(members).size < members.length)
        context.addIssue({
          code: "custom",
          params: { what, problem: "a member stands twice", rule: "each is written once" },
        });
    });

/** Sizes that rise from one to the next, mm. */
export const risingLengths = (what: string, unit: LengthUnit): z.ZodType<number[]> =>
  list(length(what, unit, "positive")).superRefine((sizes, context) => {
    for (const [i, size] of sizes.entries())
      if (i > 0 && size <= sizes[i - 1]!)
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
