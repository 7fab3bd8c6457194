import { add, scale, sub, type Vec, vec } from "../core/geometry.js";
import type { Attributes, Content, Html } from "./html.js";
import { element, hundredth } from "./html.js";
import { PALETTE, SIZE, STROKE } from "./style.js";
import { type Block, label, line } from "./svg.js";
import { fittedLines, textWidth } from "./text-layout.js";

// Dimensions of a drawing to make something from: a letter on each, with its size where there is room; a list under the drawing has them all.

/** A size that is drawn: the letter under which the list has it, and the size as the shop writes it. */
export interface DimensionText {
  readonly letter: string;
  readonly size: string;
}

/** Half the length of the stroke that ends a dimension, px. */
const TICK = 4;
/** How far an extension line stays off what is measured, and how far it goes beyond the dimension, px. */
const OFF = 3;
const BEYOND = 4;
/** Blank on either side of a text on its dimension, px. */
const BLANK = 5;

const THIN: Attributes = { stroke: PALETTE.quiet, "stroke-width": STROKE.hair };
const INK: Attributes = { stroke: PALETTE.ink, "stroke-width": STROKE.fine };

/** A level dimension at the height `y` between two places, px; its extension lines come from there. */
export function levelDimension(from: Vec, to: Vec, y: number, text: DimensionText): Content {
  const [a, b] = [vec(from.x, y), vec(to.x, y)];
  const length = Math.abs(b.x - a.x);
  const written = chosen(text, length);
  const inside = written.width + 2 * BLANK <= length;
  const right = Math.max(a.x, b.x);
  const at = inside ? vec((a.x + b.x) / 2, y - 4) : vec(right + BLANK, y + 4);
  return [
    ...[from, to].map((point) => extension(point, vec(point.x, y))),
    line(a, b, INK),
    ...[a, b].map(tick),
    label(written.text, at, {
      size: SIZE.small,
      weight: "bold",
      halo: PALETTE.paper,
      anchor: inside ? "middle" : "start",
    }),
  ];
}

/** An upright dimension at the distance `x` from the left, px. */
export function uprightDimension(from: Vec, to: Vec, x: number, text: DimensionText): Content {
  const [a, b] = [vec(x, from.y), vec(x, to.y)];
  const length = Math.abs(b.y - a.y);
  const written = chosen(text, length);
  const style = { size: SIZE.small, weight: "bold", halo: PALETTE.paper, anchor: "middle" } as const;
  const inside = written.width + 2 * BLANK <= length;
  return [
    ...[from, to].map((point) => extension(point, vec(x, point.y))),
    line(a, b, INK),
    ...[a, b].map(tick),
    inside
      ? label(written.text, vec(x - 7, (a.y + b.y) / 2), { ...style, turn: -90 })
      : label(text.letter, vec(x - 9, (a.y + b.y) / 2 + 4), style),
  ];
}

/** The letter with its size where both have room, else the letter. */
function chosen(
  { letter, size }: DimensionText,
  room: number,
): { readonly text: string; readonly width: number } {
  const both = `${letter}  ${size}`;
  const width = textWidth(both, SIZE.small, "bold");
  return width + 2 * BLANK <= room
    ? { text: both, width }
    : { text: letter, width: textWidth(letter, SIZE.small, "bold") };
}

const tick = (at: Vec): Html => line(add(at, vec(-TICK, TICK)), add(at, vec(TICK, -TICK)), INK);

function extension(from: Vec, to: Vec): Html | string {
  const way = sub(to, from);
  const length = Math.hypot(way.x, way.y);
  if (length < OFF) return "";
  const unit = scale(way, 1 / length);
  return line(add(from, scale(unit, OFF)), add(to, scale(unit, BEYOND)), THIN);
}

/**
 * The arc of an angle about a corner; degrees counter-clockwise from the right, as seen on paper.
 *
 * @param radius px
 */
export function angleArc(corner: Vec, radius: number, from: number, to: number): Html {
  const on = (degrees: number): string => {
    const turn = (degrees * Math.PI) / 180;
    return `${hundredth(corner.x + radius * Math.cos(turn))},${hundredth(corner.y - radius * Math.sin(turn))}`;
  };
  const [r, sweep] = [hundredth(radius), to > from ? 0 : 1];
  return element("path", { d: `M${on(from)}A${r},${r} 0 0 ${sweep} ${on(to)}`, fill: "none", ...INK });
}

/** A row of a list of sizes. */
export interface SizeRow extends DimensionText {
  readonly what: string;
}

/** px. */
const LETTER_ROOM = 22;
const LIST_LINE = 15;
const AFTER_ROW = 3;

/** The sizes of a drawing by their letters: size and what it is of, broken to the room. */
export function sizeList(rows: readonly SizeRow[], room: number): Block {
  let y = 0;
  const content = rows.flatMap(({ letter, size, what }): Html[] => {
    const [before, after] = [[size, what].filter((text) => text !== "").join(": "), room - LETTER_ROOM];
    const top = y;
    const lines = fittedLines(before, after, SIZE.small);
    y += LIST_LINE * lines.length + AFTER_ROW;
    return [
      label(letter, vec(0, top + 11), { size: SIZE.small, weight: "bold" }),
      ...lines.map((text, i) =>
        label(text, vec(LETTER_ROOM, top + 11 + LIST_LINE * i), { size: SIZE.small }),
      ),
    ];
  });
  return { width: room, height: y, content };
}
