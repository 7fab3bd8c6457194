import { UserError } from "../../core/errors.js";
import type { Vec } from "../../core/geometry.js";
import { type Crossing, pointsUp, threeWayGrid } from "../../model/cell/three-way-grid.js";
import { type ChartOptions, plotWidth, requireFinite } from "../../render/charts/chart-spec.js";
import type { Attributes, Content, Html } from "../../render/html.js";
import { PALETTE, SIZE } from "../../render/style.js";
import {
  type Block,
  type Drawing,
  framedDrawing,
  label,
  legendBlock,
  line,
  polygon,
  rect,
  SWATCH,
  textBlock,
} from "../../render/svg.js";
import { fittedLines, textWidth } from "../../render/text-layout.js";

/** One value for each cell of a panel. */
interface PanelMap {
  readonly rows: number;
  readonly columns: number;
  /** Whether the cells are triangles of a three-way grid; default false: rectangles. */
  readonly threeWay?: boolean;
  /** Row by row from the top, ≥ 0, in any unit: drawn by area, and darker where larger. */
  readonly values: readonly number[];
  /** Formats a value. */
  readonly label: (value: number) => string;
  /** Description of a value, such as `mean widest gap`. */
  readonly what: string;
}

const TITLE = "The panel, cell by cell";
/** Share of a cell's side that the largest value takes. */
const LARGEST_MARK = 0.86;
/** Shades of blue from pale to full: one hue that varies in lightness, so that the order is clear with any colour vision and in a grey copy. */
const SHADES = ["#D6E4F0", "#A9C8E2", "#6FA3CC", "#3A7CB5", PALETTE.computed] as const;
/** Every row and column is numbered, or every fifth if they lie too close. */
const FIFTH = 5;

/**
 * A panel as seen from the front: in each cell a square or a triangle whose area and shade show the cell's value; the largest one has a rim if it stands out. Rows are counted from the top.
 *
 * @throws UserError (code "chart") when there is not one value ≥ 0 for each cell.
 */
export function panelMap(map: PanelMap, options: ChartOptions = {}): Drawing {
  const { rows, columns, values, what } = map;
  requireValues(map);
  // A number is not separated from its unit by a line break.
  const written = (value: number): string => map.label(value).replaceAll(" ", "\u00a0");
  const room = plotWidth(options.width);
  const layout = (map.threeWay ? threeWayLayout : uprightLayout)(rows, columns, room);
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const worst = values.indexOf(most);
  // The largest value does not stand out if others are printed with the same text.
  const standsOut = values.filter((value) => written(value) === written(most)).length === 1;
  const title = options.title ?? TITLE;
  if (values.length > 1 && written(least) === written(most)) return allAlike(map, title, room, written(most));
  const where = `row ${Math.floor(worst / columns) + 1}, column ${(worst % columns) + 1}`;
  const range = `${written(least)} to ${written(most)}`;
  const counted = "Rows are counted from the top, columns from the left.";
  const panel: Block = {
    width: room,
    height: NUMBERS + layout.height + 2,
    content: [
      layout.ground,
      values.map((value, cell) => {
        const share = LARGEST_MARK * Math.sqrt(value / most);
        return value > 0 ? layout.cell(cell, share, { fill: SHADES[shadeOf(value / most)] }) : "";
      }),
      layout.strips,
      standsOut ? layout.cell(worst, 1, { fill: "none", ...RIM }) : "",
      numbers(map, layout),
      figures(values, written, layout),
    ],
  };
  const legend = legendBlock([{ text: `largest: ${where}, ${written(most)}`, swatch: largestSwatch }], room);
  return framedDrawing(
    {
      title,
      notes: [[`Area and shade: ${what}, ${range}.`, counted, layout.note].join(" ").trim()],
      description: `${title}: ${what} for ${rows} × ${columns} ${map.threeWay ? "triangles" : "cells"}, from ${range}${standsOut ? `; largest in ${where}` : ""}.`,
    },
    standsOut ? [panel, legend] : [panel],
  );
}

/** A map of a single value would say no more than a sentence. */
function allAlike({ rows, columns, what }: PanelMap, title: string, room: number, value: string): Drawing {
  const said = `All ${rows * columns} cells are alike: ${what}, ${value}. No place in the panel is better or worse than another.`;
  const lines = fittedLines(said, room, SIZE.text);
  return framedDrawing({ title, notes: [], description: `${title}. ${said}` }, [
    { ...textBlock(lines, {}, 17), width: room },
  ]);
}

const RIM: Attributes = { stroke: PALETTE.attention, "stroke-width": 2.5 };

function requireValues({ rows, columns, values }: PanelMap): void {
  if (values.length !== rows * columns || values.length === 0)
    throw new UserError(
      "chart",
      `The panel cannot be drawn: it needs one figure for each of its ${rows} × ${columns} cells; it was given ${values.length}.`,
    );
  for (const [cell, value] of values.entries()) {
    requireFinite(value, `figure of cell ${cell + 1}`);
    if (value < 0)
      throw new UserError(
        "chart",
        `The panel cannot be drawn: a figure must be 0 or more; cell ${cell + 1} has ${value}.`,
      );
  }
}

/** Index of the shade; the palest if all values are zero. */
const shadeOf = (share: number): number =>
  share > 0 ? Math.min(SHADES.length - 1, Math.floor(SHADES.length * share)) : 0;

/** Numbers of rows and columns: every one, or every fifth if they lie too close. */
function numbers({ rows, columns }: PanelMap, { first, rowStep, columnStep }: PanelLayout): Html[] {
  const quiet = { size: SIZE.tiny, color: PALETTE.quiet };
  const counted = (count: number, step: number): number[] => {
    const each = step >= 2 * SIZE.tiny ? 1 : FIFTH;
    return Array.from({ length: count }, (_, k) => k).filter((k) => k === 0 || (k + 1) % each === 0);
  };
  return [
    ...counted(rows, rowStep).map((k) =>
      label(String(k + 1), { x: NUMBERS - 5, y: first.y + k * rowStep + 4 }, { ...quiet, anchor: "end" }),
    ),
    ...counted(columns, columnStep).map((k) =>
      label(String(k + 1), { x: first.x + k * columnStep, y: NUMBERS - 6 }, { ...quiet, anchor: "middle" }),
    ),
  ];
}

/** Each cell's value in its centre, if there is room for all of them. */
function figures(values: readonly number[], written: (value: number) => string, layout: PanelLayout): Html[] {
  const fits = (value: number): boolean => textWidth(written(value), SIZE.tiny) <= layout.labelRoom;
  if (layout.rowStep < 2 * SIZE.tiny || !values.every(fits)) return [];
  const most = Math.max(...values);
  return values.map((value, cell) => {
    const { x, y } = layout.middle(cell);
    // Letters on the two darkest shades have the colour of the paper.
    const color = shadeOf(value / most) >= SHADES.length - 2 ? PALETTE.paper : PALETTE.ink;
    return label(written(value), { x, y: y + 4 }, { anchor: "middle", size: SIZE.tiny, color });
  });
}

const largestSwatch = (x: number, y: number): Html =>
  rect(x + SWATCH / 2 - 7, y - 7, 14, 14, { fill: PALETTE.computed, ...RIM });

/** Room for the numbers of rows and columns, px. */
const NUMBERS = 22;

/** Layout of the cells of a panel on a drawing; px from its upper left corner, cells row by row from the top. */
interface PanelLayout {
  readonly height: number;
  /** Distances between the centres of neighbouring columns and rows, px. */
  readonly columnStep: number;
  readonly rowStep: number;
  /** Middle of the first column, and of the first row. */
  readonly first: Vec;
  /** Width of the widest label that fits in a cell, px. */
  readonly labelRoom: number;
  readonly middle: (cell: number) => Vec;
  /** The outline of a cell, scaled about its centre by `share`. */
  readonly cell: (cell: number, share: number, style: Attributes) => Html;
  /** The layer below the cells' values: the wood, and the cells cut off by the border. */
  readonly ground: Content;
  /** The strips between the cells and the border around them. */
  readonly strips: Content;
  /** A sentence about what is drawn but not part of the prediction; "" if there is nothing. */
  readonly note: string;
}

/** px: a triangle as large as the largest square cell. */
const LARGEST_SIDE = 96;
/** Width of a triangle that a one-line label loses at its centre, px. */
const LABEL_MARGIN = 9;
/** Half of the border's line. */
const EDGE = 1.5;

/** Cells between strips in three directions, every second one standing on its point. @param room px from side to side. */
function threeWayLayout(rows: number, columns: number, room: number): PanelLayout {
  const side = Math.min(LARGEST_SIDE, (2 * (room - NUMBERS - EDGE)) / (columns + 1));
  const { clear, band, lines: strips, halves } = threeWayGrid(rows, columns, side, 0);
  const wood = { stroke: PALETTE.woodEdge, "stroke-width": Math.min(3, side / 12) };
  const at = ({ line, half }: Crossing): Vec => ({
    x: NUMBERS + (half * side) / 2,
    y: NUMBERS + line * band,
  });
  const corners = (cell: number): [Vec, Vec, Vec] => {
    const [row, column] = [Math.floor(cell / columns), cell % columns];
    const [base, tip] = pointsUp(row, column) ? [row + 1, row] : [row, row + 1];
    return [
      at({ line: base, half: column }),
      at({ line: base, half: column + 2 }),
      at({ line: tip, half: column + 1 }),
    ];
  };
  const middle = (cell: number): Vec => {
    const [a, b, c] = corners(cell);
    return { x: (a.x + b.x + c.x) / 3, y: (a.y + b.y + c.y) / 3 };
  };
  const triangle = (cell: number, share: number, style: Attributes): Html => {
    const { x, y } = middle(cell);
    const shrunk = corners(cell).map((p) => ({ x: x + share * (p.x - x), y: y + share * (p.y - y) }));
    return polygon(shrunk, { "data-cell": cell, ...style });
  };
  const frame = (style: Attributes): Html => rect(NUMBERS, NUMBERS, clear.width, clear.height, style);
  return {
    height: clear.height,
    columnStep: side / 2,
    rowStep: band,
    middle,
    cell: triangle,
    first: { x: NUMBERS + side / 2, y: NUMBERS + band / 2 },
    labelRoom: (2 / 3) * side - LABEL_MARGIN,
    ground: [
      frame({ fill: PALETTE.hairline }),
      Array.from({ length: rows * columns }, (_, cell) => polygon(corners(cell), { fill: PALETTE.wood })),
    ],
    strips: [
      strips.map(({ family, crossings }) => {
        const [start, end] = [crossings[0], crossings.at(-1)];
        if (start === undefined || end === undefined) return "";
        if (family !== "level") return line(at(start), at(end), wood);
        return line(at({ ...start, half: 0 }), at({ ...start, half: columns + 1 }), wood);
      }),
      frame({ fill: "none", ...wood }),
    ],
    note: `The ${halves} grey halves at the sides, which the border cuts, are left out of the prediction.`,
  };
}

/** px. */
const LARGEST_CELL = 64;
/** Blank beside a label. */
const UPRIGHT_LABEL_MARGIN = 4;

/** Cells between upright and level strips. @param room px from side to side. */
function uprightLayout(rows: number, columns: number, room: number): PanelLayout {
  const side = Math.min(LARGEST_CELL, (room - NUMBERS) / columns);
  const [width, height] = [columns * side, rows * side];
  const strip = Math.min(3, side / 8);
  const middle = (cell: number): Vec => ({
    x: NUMBERS + ((cell % columns) + 0.5) * side,
    y: NUMBERS + (Math.floor(cell / columns) + 0.5) * side,
  });
  const square = (cell: number, share: number, style: Attributes): Html => {
    const { x, y } = middle(cell);
    const half = (share * side) / 2;
    return rect(x - half, y - half, 2 * half, 2 * half, { "data-cell": cell, ...style });
  };
  const wood = { fill: PALETTE.woodEdge };
  const edge = NUMBERS - strip / 2;
  return {
    height,
    columnStep: side,
    rowStep: side,
    labelRoom: side - UPRIGHT_LABEL_MARGIN,
    middle,
    cell: square,
    first: { x: NUMBERS + side / 2, y: NUMBERS + side / 2 },
    ground: rect(NUMBERS, NUMBERS, width, height, { fill: PALETTE.wood }),
    strips: [
      Array.from({ length: rows + 1 }, (_, i) => rect(edge, edge + i * side, width + strip, strip, wood)),
      Array.from({ length: columns + 1 }, (_, j) => rect(edge + j * side, edge, strip, height + strip, wood)),
    ],
    note: "",
  };
}
