import type { MultilineText } from "./types.js";

/** The text as one string. */
export const textOf = (text: MultilineText): string => (typeof text === "string" ? text : text.join(""));

/** The text as nbformat writes it to disk: its lines, each with its line end. */
export function linesOf(text: string): string[] {
  return text === "" ? [] : text.split(/(?<=\n)/);
}
