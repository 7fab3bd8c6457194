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
