import type { ResultUnit } from "../core/quantity/index.js";
import { spellOut } from "../core/text.js";
import { htmlTable, tied } from "./html.js";
import type { HtmlOutput } from "./notebook/display.js";
import { expandedParts, quantityText, signed } from "./shop-numbers.js";

/** Columns of text, padded to equal width; numbers to the right. */
export function textTable(
  heading: readonly string[],
  rows: readonly (readonly string[])[],
  right: readonly number[] = [],
): string {
  const all = [heading, ...rows];
  const widths = heading.map((_, c) => Math.max(...all.map((row) => lengthOf(row[c] ?? ""))));
  const line = (row: readonly string[]): string =>
    widths
      .map((width, c) => {
        const cell = row[c] ?? "";
        const pad = " ".repeat(width - lengthOf(cell));
        return right.includes(c) ? pad + cell : cell + pad;
      })
      .join("  ")
      .trimEnd();
  return [line(heading), widths.map((width) => "─".repeat(width)).join("  "), ...rows.map(line)].join("\n");
}

const lengthOf = (text: string): number => [...text].length;

/** A table of plain text that shows itself, as HTML and as columns of text; the columns in `right` hold numbers. */
export const plainTable = (
  heading: readonly string[],
  rows: readonly (readonly string[])[],
  right: readonly number[] = [],
): Required<HtmlOutput> => ({
  html: String(htmlTable(heading, rows, right)),
  text: textTable(heading, rows, right),
});

/** Text broken at spaces to lines of at most `width`, each with `indent` in front; never within a fraction or before a unit. */
export function wrapped(text: string, width = 96, indent = ""): string {
  const lines: string[] = [];
  let line = "";
  for (const word of tied(text).split(/[ \t\n]+/)) {
    if (line !== "" && lengthOf(indent + line) + 1 + lengthOf(word) > width) {
      lines.push(indent + line);
      line = word;
    } else line = line === "" ? word : `${line} ${word}`;
  }
  return [...lines, indent + line].join("\n").replaceAll("\u00A0", " ");
}

const ENTITIES: Readonly<Record<string, string>> = { "&": "&amp;", "<": "&lt;", ">": "&gt;" };

/**
 * Text of a job made plain inside Markdown: no emphasis, link, picture, formula or HTML comes of it, and it stays on its line.
 *
 * @example
 * markdownText("a_b*c") // "a\\_b\\*c"
 */
export const markdownText = (text: string): string =>
  spellOut(text.replaceAll(/\s+/g, " "))
    .replaceAll(/[&<>]/g, (sign) => ENTITIES[sign]!)
    .replaceAll(/[\\`*_{}[\]()#+!|~$^-]/g, "\\$&");

/** A number in a table; mm or rad as its unit has it, a share where the unit is `%`, as it is where there is none. */
export interface Figure {
  readonly value: number;
  readonly unit: ResultUnit | "%" | "none";
  /** Expanded uncertainty, > 0, in the unit of the value: the number is rounded to it and stands with it, `0.61 ± 0.06`. */
  readonly U?: number;
  /** The other end of a range, in the unit of the value, `0.55 to 0.67`. */
  readonly to?: number;
  /** Decimals where there is no uncertainty; default by unit. */
  readonly digits?: number;
  /** A plus before what is above zero; default false. */
  readonly signed?: boolean;
}

/** A figure as it is written: one number or two, what stands between them, and the unit's mark with its space. */
export interface WrittenFigure {
  readonly numbers: readonly string[];
  readonly between: string;
  readonly mark: string;
}

const MARK: Readonly<Record<Figure["unit"], string>> = {
  mm: " mm",
  in: " in",
  thou: " thou",
  deg: "°",
  arcmin: "′",
  "%": " %",
  none: "",
};
const DIGITS: Readonly<Record<Figure["unit"], number>> = {
  mm: 3,
  in: 4,
  thou: 1,
  deg: 2,
  arcmin: 1,
  "%": 0,
  none: 2,
};

/** What stands between the ends of a range. */
export const RANGE = " to ";

export function writtenFigure({
  value,
  unit,
  U,
  to,
  digits = DIGITS[unit],
  signed: plus = false,
}: Figure): WrittenFigure {
  const mark = MARK[unit];
  const sign = (text: string): string => (plus ? signed(text) : text);
  if (U !== undefined && U > 0 && unit !== "%" && unit !== "none") {
    const parts = expandedParts(value, U, unit);
    return { numbers: [sign(parts.value), parts.uncertainty], between: " ± ", mark };
  }
  const text = (x: number): string => sign(plainNumber(x, unit, digits));
  return { numbers: to === undefined ? [text(value)] : [text(value), text(to)], between: RANGE, mark };
}

function plainNumber(value: number, unit: Figure["unit"], digits: number): string {
  if (unit !== "%" && unit !== "none") return quantityText(value, unit, { digits, withUnit: false });
  const text = (unit === "%" ? 100 * value : value).toFixed(digits);
  return (/[1-9]/.test(text) ? text : text.replace("-", "")).replace("-", "−");
}

/** What a cell of a table shows: text, a number, or nothing to be shown. */
export type Shown = string | Figure | null;

/** A column of a table: its heading, and what it shows of a row. */
export interface Column<Row> {
  readonly heading: string;
  readonly cell: (row: Row) => Shown;
}

/** A space as wide as a digit, and one as wide as a point. */
const DIGIT_SPACE = "\u2007";
const POINT_SPACE = "\u2008";
const NOTHING = "–";

/**
 * Rows as a table that shows itself: numbers to the right with their points one under the other, rounded to their uncertainty where they have one;
 * a unit that a whole column shares stands in its heading.
 *
 * @example
 * resultTable([{ place: "toe", gap: 0.08 }], [
 *   { heading: "place", cell: ({ place }) => place },
 *   { heading: "gap", cell: ({ gap }) => ({ value: gap, unit: "mm" }) },
 * ]).html.startsWith("<table") // true
 */
export function resultTable<Row>(rows: readonly Row[], columns: readonly Column<Row>[]): HtmlOutput {
  const made = columns.map(({ heading, cell }) => columnText(heading, rows.map(cell)));
  const heading = made.map((column) => column.heading);
  const body = rows.map((_, i) => made.map(({ cells }) => cells[i]!));
  const right = made.flatMap((column, c) => (column.right ? [c] : []));
  return {
    html: String(htmlTable(heading, body, right)),
    text: textTable(
      heading,
      body.map((row) => row.map((text) => text.replaceAll(/[\u2007\u2008]/g, " "))),
      right,
    ),
  };
}

interface ColumnText {
  readonly heading: string;
  readonly cells: readonly string[];
  readonly right: boolean;
}

function columnText(heading: string, shown: readonly Shown[]): ColumnText {
  const written = shown.map((cell) =>
    cell === null || typeof cell === "string" ? null : writtenFigure(cell),
  );
  const figures = written.filter((figure) => figure !== null);
  const text = (i: number): string => (typeof shown[i] === "string" ? shown[i] : NOTHING);
  if (figures.length === 0) return { heading, cells: shown.map((_, i) => text(i)), right: false };
  const marks = new Set(figures.map(({ mark }) => mark));
  const shared = marks.size === 1 ? [...marks][0]! : null;
  const aligned = alignedFigures(figures, shared !== null);
  const named = shared === null || shared === "" ? heading : `${heading} (${shared.trim()})`;
  return {
    heading: named,
    cells: written.map((figure, i) => (figure === null ? text(i) : aligned[figures.indexOf(figure)]!)),
    right: true,
  };
}

/** Figures padded so that points, and signs of uncertainty, stand one under the other when set to the right. */
function alignedFigures(figures: readonly WrittenFigure[], withoutMark: boolean): string[] {
  const ended = figures.map(({ numbers, mark }) =>
    numbers.map((text, k) => (k === numbers.length - 1 && !withoutMark ? text + mark : text)),
  );
  const texts = (k: number): string[] => ended.map((numbers) => numbers[k] ?? "");
  // Before "to" there is no hole: the lower ends of ranges in several units are set to the right as they are.
  const ranges = figures.some(({ numbers, between: joint }) => numbers.length > 1 && joint === RANGE);
  const [first, second] = [ranges ? flushRight(texts(0)) : aligned(texts(0)), aligned(texts(1))];
  const between = Math.max(
    ...figures.map(({ numbers, between: joint }) => (numbers.length > 1 ? joint.length : 0)),
  );
  return figures.map(({ numbers, between: joint }, i) => {
    if (between === 0) return first[i]!;
    return `${first[i]}${numbers.length > 1 ? joint : DIGIT_SPACE.repeat(between)}${second[i]}`;
  });
}

function flushRight(texts: readonly string[]): string[] {
  const longest = Math.max(...texts.map((text) => text.length));
  return texts.map((text) => text.padStart(longest, DIGIT_SPACE));
}

/** Padded before the point and after it. */
function aligned(texts: readonly string[]): string[] {
  const parts = texts.map((text) => /^([+−]?\d*)(.*)$/.exec(text)!);
  const longest = (k: number): number => Math.max(...parts.map((part) => part[k]!.length));
  const [whole, rest] = [longest(1), longest(2)];
  return parts.map(([, before, after]) => {
    const blank = rest - after!.length;
    const point = after === "" && blank > 0 ? POINT_SPACE : "";
    return before!.padStart(whole, DIGIT_SPACE) + after + point + DIGIT_SPACE.repeat(blank - point.length);
  });
}
