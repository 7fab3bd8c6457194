import type { Vec } from "../core/geometry.js";
import { type Attributes, type Content, element, type Html, hundredth, raw } from "./html.js";
import { FONT, PALETTE, PANEL_SPACING, RIM, SIZE } from "./style.js";
import { fittedLines, textWidth } from "./text-layout.js";

/** A drawing as an SVG document, with its words for those who cannot see it. */
export interface Drawing {
  readonly title: string;
  /** What it shows, in a sentence or two. */
  readonly description: string;
  readonly svg: string;
  /** Title and description. */
  readonly text: string;
}

/** A drawing's title and description; the title once, where the description begins with it. */
export const wordsOf = ({ title, description }: Pick<Drawing, "title" | "description">): string =>
  description.startsWith(title) ? description : `${title}. ${description}`;

/** A straight line. */
export const line = (from: Vec, to: Vec, attributes: Attributes): Html =>
  element("line", { x1: from.x, y1: from.y, x2: to.x, y2: to.y, ...attributes });

/** A closed outline. */
export const polygon = (corners: readonly Vec[], attributes: Attributes): Html =>
  element("polygon", {
    points: corners.map(({ x, y }) => `${hundredth(x)},${hundredth(y)}`).join(" "),
    ...attributes,
  });

export const rect = (x: number, y: number, width: number, height: number, attributes: Attributes): Html =>
  element("rect", { x, y, width, height, ...attributes });

export const circle = ({ x, y }: Vec, r: number, attributes: Attributes): Html =>
  element("circle", { cx: x, cy: y, r, ...attributes });

/** The lengths of dashes and blanks; none for a line without. */
export const dashes = (lengths: readonly number[]): Attributes =>
  lengths.length === 0 ? {} : { "stroke-dasharray": lengths.join(" ") };

interface LabelStyle {
  /** px; default {@link SIZE.text}. */
  readonly size?: number;
  readonly color?: string;
  readonly weight?: "plain" | "bold";
  readonly anchor?: "start" | "middle" | "end";
  /** Degrees clockwise about the text's middle, which then lies at the place given. */
  readonly turn?: number;
  /** Colour of a rim around the letters, where they stand on a drawing. */
  readonly halo?: string;
}

/** One line of text by its baseline. */
export function label(text: string, { x, y }: Vec, style: LabelStyle = {}): Html {
  const { size = SIZE.text, color = PALETTE.ink, weight = "plain", anchor, turn, halo } = style;
  return element(
    "text",
    {
      x,
      y: turn === undefined ? y : y + size / 3,
      "font-size": size,
      fill: color,
      "font-weight": weight === "bold" ? "bold" : undefined,
      "text-anchor": anchor,
      transform:
        turn === undefined ? undefined : `rotate(${hundredth(turn)} ${hundredth(x)} ${hundredth(y)})`,
      ...(halo === undefined
        ? {}
        : { stroke: halo, "stroke-width": 4, "stroke-linejoin": "round", "paint-order": "stroke" }),
    },
    text,
  );
}

/** A part of a drawing, in px from its own upper left corner. */
export interface Block {
  readonly width: number;
  readonly height: number;
  readonly content: Content;
}

/** Blocks from left to right, as one. */
export const beside = (blocks: readonly Block[], spacing: number): Block => ({
  width: blocks.reduce((sum, { width }) => sum + width, spacing * (blocks.length - 1)),
  height: Math.max(...blocks.map(({ height }) => height)),
  content: blocks.map(({ content }, i) =>
    shifted(
      blocks.slice(0, i).reduce((sum, { width }) => sum + width + spacing, 0),
      0,
      content,
    ),
  ),
});

/** Blocks from top to bottom, as one; what has no height is left out. */
export function stacked(blocks: readonly Block[], spacing: number): Block {
  const shown = blocks.filter(({ height }) => height > 0);
  return {
    width: Math.max(...shown.map(({ width }) => width)),
    height: shown.reduce((sum, { height }) => sum + height, spacing * (shown.length - 1)),
    content: shown.map(({ content }, i) =>
      shifted(
        0,
        shown.slice(0, i).reduce((sum, { height }) => sum + height + spacing, 0),
        content,
      ),
    ),
  };
}

export const group = (attributes: Attributes, ...content: Content[]): Html =>
  element("g", attributes, ...content);

const shifted = (x: number, y: number, content: Content): Html =>
  group({ transform: `translate(${hundredth(x)} ${hundredth(y)})` }, content);

interface Frame {
  readonly title: string;
  /** Sentences under the title; each begins a line. */
  readonly notes: readonly string[];
  readonly description: string;
}

/** px for each line. */
const TITLE_LINE = 19;
const NOTE_LINE = 15;

/** Blocks one below the other on paper, under a title and notes broken to the width of the widest block. */
export function framedDrawing({ title, notes, description }: Frame, blocks: readonly Block[]): Drawing {
  const room = Math.max(...blocks.map(({ width }) => width));
  const bold = (text: string, size: number): number => textWidth(text, size, "bold");
  const titled = textBlock(
    fittedLines(title, room, SIZE.title, bold),
    { size: SIZE.title, weight: "bold" },
    TITLE_LINE,
  );
  const small = { size: SIZE.small, color: PALETTE.quiet };
  const noted = textBlock(
    notes.flatMap((note) => fittedLines(note, room, SIZE.small)),
    small,
    NOTE_LINE,
  );
  const body = stacked([titled, noted, ...blocks], PANEL_SPACING);
  const [width, height] = [Math.ceil(body.width) + 2 * RIM, Math.ceil(body.height) + 2 * RIM];
  const paper = rect(0, 0, width, height, { fill: PALETTE.paper });
  const svg = String(
    svgDocument({ title, description, width, height }, paper, shifted(RIM, RIM, body.content)),
  );
  return { title, description, svg, text: wordsOf({ title, description }) };
}

/** Lines of text one below the other; of no height where there are none. */
export const textBlock = (lines: readonly string[], style: LabelStyle, step: number): Block => ({
  width: 0,
  height: step * lines.length,
  content: lines.map((text, i) => label(text, { x: 0, y: step * (i + 1) - 4 }, style)),
});

interface DocumentHead {
  readonly title: string;
  readonly description?: string;
  /** Units of the viewBox, and px unless `unit` is given. */
  readonly width: number;
  readonly height: number;
  readonly unit?: "mm";
}

/** A whole SVG document with a title, and a description where there is one, for those who cannot see it. */
export function svgDocument(
  { title, description, width, height, unit }: DocumentHead,
  ...content: Content[]
): Html {
  const [wide, high] = [hundredth(width), hundredth(height)];
  const attributes = {
    role: "img",
    xmlns: "http://www.w3.org/2000/svg",
    width: `${wide}${unit ?? ""}`,
    height: `${high}${unit ?? ""}`,
    viewBox: `0 0 ${wide} ${high}`,
    "font-family": unit === undefined ? FONT : undefined,
  };
  const described = description === undefined ? [] : [element("desc", {}, description)];
  return element("svg", attributes, element("title", {}, title), described, content);
}

/** An entry of a legend: a small drawing, {@link SWATCH} px wide and centred on the line at `y`, and what it means. */
interface SwatchEntry {
  readonly text: string;
  readonly swatch: (x: number, y: number) => Content;
}

export const SWATCH = 26;
/** px. */
const AFTER_SWATCH = 7;
const LEGEND_LINE = 20;
/** For each further line of an entry. */
const LEGEND_MORE = 14;

interface PlacedEntry<Entry> {
  readonly entry: Entry;
  readonly lines: readonly { readonly text: string; readonly x: number; readonly y: number }[];
  readonly x: number;
  readonly y: number;
}

/** Where the entries of a legend lie: left to right, as many to a line as fit; in columns when they need more than one line. What is wider than `room` is broken. */
export function legendLayout<Entry extends { readonly text: string }>(
  entries: readonly Entry[],
  room: number,
): { readonly placed: readonly PlacedEntry<Entry>[]; readonly height: number } {
  const between = 16;
  const widths = entries.map(({ text }) => SWATCH + AFTER_SWATCH + textWidth(text, SIZE.small) + between);
  const widest = Math.max(...widths);
  const sum = (list: readonly number[]): number => list.reduce((total, width) => total + width, 0);
  const oneLine = sum(widths) <= room + between;
  const columns = oneLine ? entries.length : Math.max(1, Math.floor((room + between) / widest));
  const placed: PlacedEntry<Entry>[] = [];
  let top = 0;
  for (let start = 0; start < entries.length; start += columns) {
    const row = entries.slice(start, start + columns).map((entry, column) => {
      const x = Math.round(oneLine ? sum(widths.slice(0, column)) : column * widest);
      const y = top + LEGEND_LINE / 2;
      const lines = fittedLines(entry.text, room - SWATCH - AFTER_SWATCH, SIZE.small).map((text, i) => ({
        text,
        x: x + SWATCH + AFTER_SWATCH,
        y: y + 4 + LEGEND_MORE * i,
      }));
      return { entry, lines, x, y };
    });
    placed.push(...row);
    top += LEGEND_LINE + LEGEND_MORE * (Math.max(...row.map(({ lines }) => lines.length)) - 1);
  }
  return { placed, height: top };
}

/** What the marks of a drawing mean. */
export function legendBlock(entries: readonly SwatchEntry[], room: number): Block {
  const { placed, height } = legendLayout(entries, room);
  return {
    width: room,
    height,
    content: placed.map(({ entry, lines, x, y }) => [
      entry.swatch(x, y),
      lines.map(({ text, ...at }) => label(text, at, { size: SIZE.small })),
    ]),
  };
}

/** Width and height that a drawing states, px. @throws RangeError when it states none */
export function svgSize(svg: string): { readonly width: number; readonly height: number } {
  const [opening = ""] = svg.match(/<svg[^>]*>/) ?? [];
  const size = (name: string): number =>
    Number(opening.match(new RegExp(`\\s${name}="([\\d.]+)`))?.[1] ?? Number.NaN);
  const [width, height] = [size("width"), size("height")];
  if (!(width > 0) || !(height > 0) || !opening.includes("viewBox"))
    throw new RangeError(
      "the picture cannot be resized; it must state width, height and viewBox (in <svg>).",
    );
  return { width, height };
}

/**
 * Drawings from left to right as one drawing on white; a single one as it is.
 *
 * @param spacing px between them, ≥ 0
 * @throws RangeError when there is none, or one does not state its size
 */
export function sideBySide(svgs: readonly string[], spacing: number): string {
  const [first] = svgs;
  if (first === undefined) throw new RangeError("there is no drawing to show (at svgs).");
  if (svgs.length === 1) return first;
  const blocks = svgs.map(
    (svg): Block => ({ ...svgSize(svg), content: raw(svg.slice(svg.indexOf("<svg"))) }),
  );
  const { width, height, content } = beside(blocks, spacing);
  return String(svgDocument({ title: "Side by side", width, height }, content));
}

/**
 * A drawing with another width, its height in proportion; what it shows is the same, larger or smaller.
 *
 * @param width px, > 0
 * @throws RangeError when the width is not a number above 0, or the drawing does not state its size
 */
export function resizedSvg(svg: string, width: number): string {
  if (!(width > 0 && Number.isFinite(width)))
    throw new RangeError(
      `the picture has no size; a width is a number of pixels above 0; got ${width} (width).`,
    );
  const { width: from, height: tall } = svgSize(svg);
  const [opening = ""] = svg.match(/<svg[^>]*>/) ?? [];
  const resized = opening
    .replace(/(\swidth=")[^"]*/, `$1${width}`)
    .replace(/(\sheight=")[^"]*/, `$1${Number(((tall * width) / from).toFixed(3))}`);
  return svg.replace(opening, () => resized);
}
