/** Signs that turn the direction of the text after them. */
const TURNS = "\\u202A-\\u202E\\u2066-\\u2069";
/** Soft hyphens, signs that join letters or emoji, marks of direction for one place: they cannot be seen and do no harm. */
const HARMLESS = "\\u00AD\\u061C\\u200C-\\u200F";

const UNSEEN = new RegExp(`(?![\\n\\t${HARMLESS}])[\\p{Cc}\\p{Cf}\\p{Zl}\\p{Zp}\\p{Cs}]`, "gu");
const TURNING = new RegExp(`[${TURNS}]`, "u");

/** Whether a text holds a sign that turns the direction of what follows. */
export const turnsText = (text: string): boolean => TURNING.test(text);

/**
 * A text that cannot drive what shows it: signs that cannot be seen (terminal escapes, bells, turns of direction) are written out
 * as JSON would, `\u001B`. Line breaks and tabs stay.
 */
export const spellOut = (text: string): string =>
  text.replace(UNSEEN, (sign) =>
    Array.from({ length: sign.length }, (_, i) => codeUnit(sign.charCodeAt(i))).join(""),
  );

const codeUnit = (code: number): string => `\\u${code.toString(16).toUpperCase().padStart(4, "0")}`;

const SHOWN_CHARACTERS = 40;

/** A value as an error message shows it: short, on one line, with invisible characters spelt out. */
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
