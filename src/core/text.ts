// Text from outside made safe to show: invisible characters spelt out, values as error messages show them; render/text.ts lays text out.

/** Characters that change the direction of the text after them. */
const TURNS = "\\u202A-\\u202E\\u2066-\\u2069";
/** Invisible but harmless characters: soft hyphens, joiners of letters or emoji, direction marks without a range. */
const HARMLESS = "\\u00AD\\u061C\\u200C-\\u200F";

const UNSEEN = new RegExp(`(?![\\n\\t${HARMLESS}])[\\p{Cc}\\p{Cf}\\p{Zl}\\p{Zp}\\p{Cs}]`, "gu");
const TURNING = new RegExp(`[${TURNS}]`, "u");

/** Whether a text contains a character that changes the direction of the text after it. */
export const turnsText = (text: string): boolean => TURNING.test(text);

/**
 * Makes a text safe to print: invisible characters (terminal escapes, bells, changes of direction) are written out
 * as in JSON, `\u001B`. Line breaks and tabs stay.
 */
export const spellOut = (text: string): string =>
  text.replace(UNSEEN, (sign) =>
    Array.from({ length: sign.length }, (_, i) => codeUnit(sign.charCodeAt(i))).join(""),
  );

const codeUnit = (code: number): string => `\\u${code.toString(16).toUpperCase().padStart(4, "0")}`;

const SHOWN_CHARACTERS = 40;

/** A value as an error message shows it: short, on one line, with invisible characters written out. */
export function describe(value: unknown): string {
  if (typeof value === "string") return value === "" ? "an empty text" : `“${visible(value)}”`;
  if (typeof value === "number") return Object.is(value, -0) ? "-0" : String(value);
  if (value === null || value === undefined) return "nothing";
  if (Array.isArray(value)) return "a list";
  if (typeof value === "object") return "a group of entries";
  return `${typeof value === "bigint" ? "a big integer" : `a ${typeof value}`}, ${visible(String(value))}`;
}

function visible(text: string): string {
  const start = [...text.slice(0, 2 * SHOWN_CHARACTERS)];
  const shown = start.slice(0, SHOWN_CHARACTERS).join("");
  const spelt = shown.replace(
    /[\p{C}\p{Zl}\p{Zp}]/gu,
    (mark) => `\\u{${mark.codePointAt(0)!.toString(16).toUpperCase()}}`,
  );
  return start.length > SHOWN_CHARACTERS ? `${spelt}…` : spelt;
}

/** A number in a message, to six significant digits: `0.02`, not `0.020000000000000025`. */
export const rounded = (value: number): string => String(Number(value.toPrecision(6)));

const LISTED = 24;

/** `a, b and c`; only the first two dozen of a long list. */
export function listed(words: readonly string[], joint = "and"): string {
  if (words.length > LISTED)
    return `${words.slice(0, LISTED).join(", ")} ${joint} ${words.length - LISTED} more`;
  const last = words.at(-1) ?? "none";
  return words.length < 2 ? last : `${words.slice(0, -1).join(", ")} ${joint} ${last}`;
}
