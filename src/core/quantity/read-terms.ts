import type { Refusal } from "./quantity-error.js";
import { MAX_TEXT_LENGTH, type Ratio, ratio } from "./units.js";

/** Equivalent characters, and the spelling that the reader uses. The order matters: '' is read as ″. */
const SPELLINGS: readonly (readonly [RegExp, string])[] = [
  [/[\u2212\u2010\u2011]/g, "-"], // minus sign, hyphen, non-breaking hyphen
  [/[\u2032\u2018\u2019]/g, "'"], // prime, single curly quotes
  [/[\u2033\u201C\u201D]|''/g, '"'], // double prime, double curly quotes
  [/[\u00BA\u02DA]/g, "°"], // ordinal mark and ring, often typed for the degree sign
  [/\u03BC/g, "µ"], // Greek mu for the micro sign
  [/[\u2044\u2215]/g, "/"], // fraction slash, division slash
  [/\s+/g, " "], // every kind of space
];

/** The text in the reader's spelling, without spaces at its ends. Digits are not changed. */
function plainSpelling(text: string): string {
  return SPELLINGS.reduce((plain, [signs, sign]) => plain.replace(signs, sign), text).trim();
}

/** Unicode fraction characters, as numerator and denominator. */
const VULGAR_FRACTIONS: ReadonlyMap<string, readonly [number, number]> = new Map([
  ["½", [1, 2]],
  ["⅓", [1, 3]],
  ["⅔", [2, 3]],
  ["¼", [1, 4]],
  ["¾", [3, 4]],
  ["⅕", [1, 5]],
  ["⅖", [2, 5]],
  ["⅗", [3, 5]],
  ["⅘", [4, 5]],
  ["⅙", [1, 6]],
  ["⅚", [5, 6]],
  ["⅐", [1, 7]],
  ["⅛", [1, 8]],
  ["⅜", [3, 8]],
  ["⅝", [5, 8]],
  ["⅞", [7, 8]],
  ["⅑", [1, 9]],
  ["⅒", [1, 10]],
  ["↉", [0, 3]],
]);

/** One number with the unit written after it; the unit is empty if there is none. */
export interface Term {
  readonly amount: Ratio;
  readonly unit: string;
}

/** A parsed text: its sign, then one or more numbers with their units. */
export interface SignedTerms {
  readonly negative: boolean;
  readonly terms: readonly [Term, ...Term[]];
}

const UNIT = /[°'"]|\p{L}+\.?/uy;
const ONE_NUMBER = "write one number and one unit, with no space or thousands mark inside the number";

/** Splits a text into terms. It knows how numbers are written, but not which units exist. */
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

/** Faults that are best reported for the text as a whole. */
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

/** The message for text that cannot be read as a number or unit. */
function stray(rest: string, refuse: Refusal): Error {
  const sign = String.fromCodePoint(rest.codePointAt(0)!);
  if (sign === "/")
    return refuse(
      "the fraction is not complete",
      "a fraction is two whole numbers with a slash between them",
    );
  if (sign === "." || sign === ",")
    return refuse(
      "a decimal mark has no digits after it or is part of a fraction",
      "digits follow a decimal mark, and a fraction has none",
    );
  if (sign === "-" || sign === "+")
    return refuse(
      `the sign ${sign} is in a place where no sign can be`,
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

/** One number without sign or unit, and the position in the text where it ends. */
interface Amount {
  readonly value: Ratio;
  readonly end: number;
}

const FRACTION = /(?:(\d+)[ -])?(\d+) ?\/ ?(\d+)/y;
const VULGAR = new RegExp(`(?:(\\d+)[ -]?)?([${[...VULGAR_FRACTIONS.keys()].join("")}])`, "y");
const DECIMAL = /(?=[.,]?\d)(\d*)(?:[.,](\d+))?(?:e([+-]?)(\d+))?/iy;

/** Reads a decimal, a fraction or a whole number with a fraction at `start`; `undefined` if there is none. */
function readAmount(text: string, start: number, refuse: Refusal): Amount | undefined {
  const fraction = matchAt(FRACTION, text, start) ?? matchAt(VULGAR, text, start);
  if (fraction !== undefined) return { value: mixed(fraction, refuse), end: start + fraction[0].length };
  const decimal = matchAt(DECIMAL, text, start);
  if (decimal === undefined) return undefined;
  const [all, whole, part = "0", sign = "", power = "0"] = decimal;
  if (power.length > 2)
    throw refuse("its power of ten is out of reach", "a power of ten has at most two figures");
  return { value: ratio(`${whole || "0"}.${part}e${sign}${power}`), end: start + all.length };
}

function mixed([, whole, top = "", bottom]: RegExpExecArray, refuse: Refusal): Ratio {
  const [over, under] = VULGAR_FRACTIONS.get(top) ?? [top, bottom!];
  const fraction = ratio(over, under);
  if (fraction.d.isZero())
    throw refuse("the fraction has zero below its line", "that number must be 1 or more");
  if (whole === undefined) return fraction;
  if (fraction.n.gte(fraction.d))
    throw refuse(
      "the fraction after the whole number is one or more",
      "after a whole number the fraction must be less than one",
    );
  return { n: fraction.d.times(whole).plus(fraction.n), d: fraction.d };
}

function matchAt(pattern: RegExp, text: string, start: number): RegExpExecArray | undefined {
  pattern.lastIndex = start;
  return pattern.exec(text) ?? undefined;
}
