import type { Html } from "../display/show.js";
import { type Figure, RANGE, type WrittenFigure, writtenFigure } from "./figure.js";
import { htmlTable } from "./html-table.js";
import { textTable } from "./text-table.js";

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
 */
export function resultTable<Row>(rows: readonly Row[], columns: readonly Column<Row>[]): Html {
  const made = columns.map(({ heading, cell }) => columnText(heading, rows.map(cell)));
  const heading = made.map((column) => column.heading);
  const body = rows.map((_, i) => made.map(({ cells }) => cells[i]!));
  const right = made.flatMap((column, c) => (column.right ? [c] : []));
  return {
    html: htmlTable(heading, body, right),
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
