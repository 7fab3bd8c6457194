import type { Ratio } from "./exact.js";
import { readAmount } from "./read-amount.js";
import type { Refusal } from "./refusal.js";
import { plainSpelling } from "./spelling.js";
import { MAX_TEXT_LENGTH } from "./units.js";

/** One number with the unit written after it; the unit is empty where none is written. */
export interface Term {
  readonly amount: Ratio;
  readonly unit: string;
}

/** A text taken apart: its sign, then one or more numbers with their units. */
export interface SignedTerms {
  readonly negative: boolean;
  readonly terms: readonly [Term, ...Term[]];
}

const UNIT = /[°'"]|\p{L}+\.?/uy;
const ONE_NUMBER = "write one number and one unit, with no space or thousands mark inside the number";

/** Takes a text apart. Knows the shapes of numbers, not which units exist. */
export function readTerms(input: string, refuse: Refusal): SignedTerms {
  if (input.length > MAX_TEXT_LENGTH)
    throw refuse("the text is too long", `at most ${MAX_TEXT_LENGTH} characters are read`);
  const text = plainSpelling(input);
  if (text === "") throw refuse("there is nothing to read", "a number is needed");
  refuseWholeText(text, refuse);

  const sign = /^[+-] ?/.exec(text)?.[0] ?? "";
  const terms: Term[] = [];
  let at = sign.length;
  while (at < text.length) {
    const amount = readAmount(text, at, refuse);
    if (amount === undefined) throw noNumber(text.slice(at), terms, refuse);
    at = skipSpace(text, amount.end);
    UNIT.lastIndex = at;
    const unit = UNIT.exec(text)?.[0] ?? "";
    if (unit === "" && at < text.length) throw stray(text.slice(at), refuse);
    terms.push({ amount: amount.value, unit });
    at = skipSpace(text, at + unit.length);
  }
  const [first, ...others] = terms;
  if (first === undefined) throw refuse("there is a sign and no number", "a number must follow the sign");
  return { negative: sign.startsWith("-"), terms: [first, ...others] };
}

/** Faults seen best in the text as a whole. */
function refuseWholeText(text: string, refuse: Refusal): void {
  if (/^[+-]? ?\.?(nan|inf|infinity)\b/i.test(text))
    throw refuse("it is not a finite number", "only ordinary numbers can be used");
  if (/[.,]\d*[.,]/.test(text)) throw refuse("it has more than one decimal mark", ONE_NUMBER);
  const comma = /(?<!\d)([1-9]\d{0,2}),(\d{3})(?!\d)/.exec(text);
  if (comma !== null) {
    const [, before, after] = comma;
    throw refuse(
      "the comma could be a decimal mark or could mark thousands",
      `write ${before}.${after} if it is a decimal mark, ${before}${after} if it marks thousands`,
    );
  }
}

function noNumber(rest: string, terms: readonly Term[], refuse: Refusal): Error {
  UNIT.lastIndex = 0;
  const unit = UNIT.exec(rest)?.[0];
  if (unit === undefined) return stray(rest, refuse);
  const before = terms.at(-1);
  return before === undefined
    ? refuse("there is no number", "the number comes before its unit")
    : refuse(`it has two units in a row, ${before.unit} and ${unit}`, ONE_NUMBER);
}

/** What to say of text that fits nowhere. */
function stray(rest: string, refuse: Refusal): Error {
  const sign = String.fromCodePoint(rest.codePointAt(0)!);
  if (sign === "/")
    return refuse(
      "the fraction is not complete",
      "a fraction is two whole numbers with a slash between them",
    );
  if (sign === "." || sign === ",")
    return refuse(
      "a decimal mark has no digits after it or stands in a fraction",
      "digits follow a decimal mark, and a fraction has none",
    );
  if (sign === "-" || sign === "+")
    return refuse(
      `the sign ${sign} stands where no sign can be`,
      "a minus sign comes first, a hyphen joins a whole number to its fraction, and ranges are not read",
    );
  if (readAmount(rest, 0, refuse) !== undefined)
    return refuse("it has two numbers with no unit between them", ONE_NUMBER);
  const code = rest.codePointAt(0)!.toString(16).toUpperCase().padStart(4, "0");
  const shown = /[\p{C}\p{Z}\p{M}]/u.test(sign) ? "" : `${sign} `;
  return refuse(
    `the character ${shown}(U+${code}) has no meaning here`,
    "a quantity is written with digits, a dot or comma, a fraction and a unit",
  );
}

const skipSpace = (text: string, at: number): number => (text[at] === " " ? at + 1 : at);
