/** Signs that mean the same thing, and the one spelling the reader knows. Order matters: '' is read as ″. */
const SPELLINGS: readonly (readonly [RegExp, string])[] = [
  [/[\u2212\u2010\u2011]/g, "-"], // minus sign, hyphen, non-breaking hyphen
  [/[\u2032\u2018\u2019]/g, "'"], // prime, single curly quotes
  [/[\u2033\u201C\u201D]|''/g, '"'], // double prime, double curly quotes
  [/[\u00BA\u02DA]/g, "°"], // ordinal mark and ring, often typed for the degree sign
  [/\u03BC/g, "µ"], // Greek mu for the micro sign
  [/[\u2044\u2215]/g, "/"], // fraction slash, division slash
  [/\s+/g, " "], // every kind of space
];

/** The text in the one spelling the reader knows, without spaces at its ends. Changes no digit. */
export function plainSpelling(text: string): string {
  return SPELLINGS.reduce((plain, [signs, sign]) => plain.replace(signs, sign), text).trim();
}

/** The Unicode characters that are a whole fraction, as numerator and denominator. */
export const VULGAR_FRACTIONS: ReadonlyMap<string, readonly [number, number]> = new Map([
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
