import { PALETTE, SIDE_BY_SIDE, SIZE } from "../style.js";
import { fittedLines, textWidth } from "../text-layout.js";
import type { ChartPanel, Layer } from "./chart-views.js";
import { type MarkPosition, type TextStyle, texts } from "./marks.js";

/** A row of a chart: its label, and where it belongs. */
interface LabelledRow {
  readonly label: string;
  /** Rows with the same group stand together under its name. */
  readonly group?: string;
}

interface StackOptions<Row> {
  /** Room for labels and marks, px. */
  readonly room: number;
  /** Height of a row's marks, px. */
  readonly marks: number;
  /** Figures at the end of a row. */
  readonly figures?: (row: Row) => string;
  readonly figureStyle?: TextStyle;
  /** Put labels beside the marks; default when the chart is at least {@link SIDE_BY_SIDE} wide. */
  readonly beside?: boolean;
  /** Rows that the columns are made wide enough for; default the rows themselves. Panels given the same rows here line up. */
  readonly alignedWith?: readonly Row[];
}

/** Rows from top to bottom: the middle of each row's marks, and the labels as layers. */
interface Stack<Row> {
  readonly height: number;
  /** Where marks may lie, px. */
  readonly from: number;
  readonly to: number;
  readonly rows: readonly { readonly row: Row; readonly y: number }[];
  readonly labels: Layer[];
}

/** px. */
const LINE = 15;
const HEADING = 26;
const BELOW_LABEL = 2;
const BETWEEN = 9;
const COLUMN_GAP = 12;
const MOST_LABEL = 0.42;

/** Works out where rows and their labels lie: labels above the marks on a phone, beside them where there is room. */
export function stackRows<Row extends LabelledRow>(
  rows: readonly Row[],
  {
    room,
    marks,
    figures = () => "",
    figureStyle = {},
    alignedWith = rows,
    beside = room >= SIDE_BY_SIDE,
  }: StackOptions<Row>,
): Stack<Row> {
  const column = (list: readonly string[]): number =>
    Math.max(...list.map((text) => textWidth(text, SIZE.small, figureStyle.weight)));
  const figureWidth = column(alignedWith.map(figures));
  const labelWidth = beside
    ? Math.min(
        MOST_LABEL * room,
        1 + Math.max(...alignedWith.map(({ label }) => textWidth(label, SIZE.text))),
      )
    : room - (figureWidth > 0 ? figureWidth + COLUMN_GAP : 0);
  const placed: { row: Row; y: number }[] = [];
  const headings: (MarkPosition & { text: string })[] = [];
  const names: (MarkPosition & { text: string })[] = [];
  const ends: (MarkPosition & { text: string })[] = [];
  let top = 0;
  for (const [group, members] of byGroup(rows)) {
    if (group !== "") {
      for (const [i, text] of fittedLines(group, room / HEADING_WIDTH, SIZE.heading).entries()) {
        if (i > 0) top += LINE;
        headings.push({ x: 0, y: top + LINE, text });
      }
      top += HEADING;
    }
    for (const row of members) {
      const lines = fittedLines(row.label, labelWidth, SIZE.text);
      const text = lines.length * LINE;
      const height = beside ? Math.max(text, marks) : text + BELOW_LABEL + marks;
      const y = beside ? top + height / 2 : top + text + BELOW_LABEL + marks / 2;
      const first = beside ? y - text / 2 : top;
      names.push(...lines.map((line, i) => ({ x: 0, y: first + LINE * i + 11, text: line })));
      ends.push({ x: room, y: beside ? y + 4 : top + 11, text: figures(row) });
      placed.push({ row, y });
      top += height + BETWEEN;
    }
  }
  return {
    height: Math.ceil(top),
    from: beside ? labelWidth + COLUMN_GAP : 0,
    to: beside && figureWidth > 0 ? room - figureWidth - COLUMN_GAP : room,
    rows: placed,
    labels: [
      ...texts(headings, { weight: "bold", size: SIZE.heading, halo: PALETTE.paper }),
      ...texts(names, { halo: PALETTE.paper }),
      ...texts(
        ends.filter(({ text }) => text !== ""),
        { align: "right", size: SIZE.small, halo: PALETTE.paper, ...figureStyle },
      ),
    ],
  };
}

/** Bold letters are this much wider than plain ones. */
const HEADING_WIDTH = 1.14;

function byGroup<Row extends LabelledRow>(rows: readonly Row[]): [string, Row[]][] {
  const groups = new Map<string, Row[]>();
  for (const row of rows) {
    const group = row.group ?? "";
    groups.set(group, [...(groups.get(group) ?? []), row]);
  }
  return [...groups];
}

/** One panel for each axis among the rows, named by its title, in the order in which they first come. */
export function axisPanels<Row>(
  rows: readonly Row[],
  titleOf: (row: Row) => string,
  panel: (own: readonly Row[], title: string) => ChartPanel,
): ChartPanel[] {
  const titles = [...new Set(rows.map(titleOf))];
  return titles.map((title) =>
    panel(
      rows.filter((row) => titleOf(row) === title),
      title,
    ),
  );
}
