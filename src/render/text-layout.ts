import { CHARACTER_ALLOWED } from "./style.js";

/** Widths of DejaVu Sans as shares of the font size, by kind of letter, rounded up; and how much wider its bold is. */
const NARROW = 0.4;
const BROAD = 0.98;
const DIGIT = 0.64;
const CAPITAL = 0.7;
const OTHER = 0.62;
const BOLD = 1.14;

function letterWidth(letter: string): number {
  if (/[ijlIft.,:;|'!()[\]\-/ ]/.test(letter)) return NARROW;
  if (/[mwMW%—…]/.test(letter)) return BROAD;
  if (/[0-9]/.test(letter)) return DIGIT;
  return /[A-ZΑ-Ω]/.test(letter) ? CAPITAL : OTHER;
}

/** How wide a text stands, px; errs on the wide side. */
export function textWidth(text: string, size: number, weight: "plain" | "bold" = "plain"): number {
  const letters = [...text].reduce((sum, letter) => sum + letterWidth(letter), 0);
  return letters * size * (weight === "bold" ? BOLD : 1);
}

/** Text broken into lines no wider than `width` px; a word too long by itself is broken after `|`, `.` or `-`, or where it must. */
export function fittedLines(
  text: string,
  width: number,
  size: number,
  measure: (text: string, size: number) => number = textWidth,
): string[] {
  const fits = (line: string): boolean => measure(line, size) <= width;
  const lines: string[] = [];
  let line = "";
  for (const { part, glued } of text.split(" ").flatMap((word) => brokenWord(word, fits))) {
    const joined = line === "" ? part : `${line}${glued ? "" : " "}${part}`;
    if (line === "" || fits(joined)) line = joined;
    else {
      lines.push(line);
      line = part;
    }
  }
  return line === "" ? lines : [...lines, line];
}

/** The same for titles of charts and axes: Vega has no letters to measure here and allows for more than they take up. */
export const titleLines = (text: string, width: number, size: number): string[] =>
  fittedLines(text, width, size, (line) => [...line].length * size * CHARACTER_ALLOWED);

function brokenWord(word: string, fits: (line: string) => boolean): { part: string; glued: boolean }[] {
  if (fits(word)) return [{ part: word, glued: false }];
  const parts = word.split(/(?<=[|.-])/).flatMap((part) => (fits(part) ? [part] : [...part]));
  return parts.map((part, i) => ({ part, glued: i > 0 }));
}
