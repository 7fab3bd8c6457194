import { textWidth, wrapped } from "../../../render/charts/marks.js";
import type { CardSheet, SheetJig } from "./card-sheet.js";
import { DRAWING_WIDTH } from "./drawings.js";
import type { SheetLine } from "./sheet-lines.js";

/** Room within the sheet's margins, mm. */
const ROOM = {
  A5: { width: 134, height: 196 },
  "half-letter": { width: 125.7, height: 201.9 },
} as const;

/** Sizes of letters, pt, and their leading; the style sheet uses the same. */
export const LETTERS = { title: 11.5, jig: 8.6, text: 7.4, care: 6.9, notes: 6.8 } as const;
const LEADING = 1.27;
const MM_A_POINT = 25.4 / 72;
/** No smaller than this: 6 pt. */
const SCALES = [1, 0.96, 0.92, 0.88, 0.84, 0.81] as const;
/** The reckoning was up to 2.4 mm short on six cards; letters differ between machines, mm. */
const SPARE = 3;
/** Of the widths that charts allow for: there no letter may stand over a rim, here a line too many costs room. */
const NARROWER = 0.9;
/** Between a drawing and the text beside it, mm. */
const GAP = 3;
/** A box to tick, or the dash before a caution, and the line to write on, mm. */
const INDENT = 3.6;
const BLANK = "_".repeat(10);

/** How much smaller the letters of a card are set so that it stays on one side; 1 where there is room. */
export function sheetScale(sheet: CardSheet): number {
  const { height } = ROOM[sheet.paper];
  return SCALES.find((scale) => sheetHeight(sheet, scale) <= height - SPARE) ?? SCALES.at(-1)!;
}

/** How tall a card stands, mm, as near as widths of letters are known. */
export function sheetHeight(sheet: CardSheet, scale: number): number {
  const { width } = ROOM[sheet.paper];
  const tall = (text: string, room: number, points: number): number =>
    wrapped(text, room, points * scale * MM_A_POINT, measured).length * points * scale * MM_A_POINT * LEADING;
  const row = LETTERS.text * scale * MM_A_POINT * LEADING;
  const beside = width - DRAWING_WIDTH - GAP;
  const line = ({ heading, verdict, state, toDo, drawing }: SheetLine): number => {
    const boxes = toDo.map((text) =>
      tall(text.endsWith(":") ? `${text} ${BLANK}` : text, beside - INDENT, LETTERS.text),
    );
    const words = [`${heading} ${verdict}`, state].map((text) => tall(text, beside, LETTERS.text));
    return 0.6 + Math.max(drawingHeight(drawing), sum([...words, ...boxes]));
  };
  const jig = ({ name, toAMark, ramp, stops }: SheetJig): number => {
    const marked = toAMark.length === 0 ? "" : `first ends, cut to a mark: ${toAMark.join(", ")}`;
    return 2.6 + tall(`${name} ${marked}`, width, LETTERS.jig) + sum([ramp, ...stops].map(line));
  };
  const { title, date, cell, basis, forecast, cautions, notes } = sheet;
  return sum([
    1.5 + tall(title, width, LETTERS.title),
    tall(`Set-up card of ${date}. ${cell}. ${basis}`, width, LETTERS.text),
    ...sheet.jigs.map(jig),
    forecast.length === 0 ? 0 : 1.4 + (forecast.length + 1) * (row + 0.4),
    3.8 + row + sum(cautions.map((text) => tall(text, width - 6.4, LETTERS.care))),
    1.2 + tall(notes.join(" "), width, LETTERS.notes),
  ]);
}

const measured = (text: string, size: number): number => NARROWER * textWidth(text, size);

const sum = (numbers: readonly number[]): number => numbers.reduce((a, b) => a + b, 0);

const drawingHeight = (svg: string): number => Number(/\sheight="([\d.]+)mm"/.exec(svg)?.[1] ?? 0);
