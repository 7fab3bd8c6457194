import type { Vec } from "../core/geometry.js";
import { escapeHtml } from "./html.js";

type Attributes = Readonly<Record<string, string | number>>;

/** An element of a drawing, its attributes made inert; numbers are mm of paper, to the hundredth. */
export function element(name: string, attributes: Attributes, content = ""): string {
  const written = Object.entries(attributes).map(([key, value]) => {
    const text = typeof value === "number" ? String(round(value)) : value;
    return ` ${key}="${escapeHtml(text)}"`;
  });
  return `<${name}${written.join("")}>${content}</${name}>`;
}

const round = (value: number): number => Number(value.toFixed(2)) || 0;

/** A straight line of a class of the sheet's style. */
export const line = (kind: string, from: Vec, to: Vec): string =>
  element("line", { class: kind, x1: from.x, y1: from.y, x2: to.x, y2: to.y });

/** A closed outline. */
export const outline = (kind: string, corners: readonly Vec[]): string =>
  element("polygon", {
    class: kind,
    points: corners.map(({ x, y }) => `${round(x)},${round(y)}`).join(" "),
  });

/** Text by its baseline. */
export const label = (text: string, at: Vec, anchor: "start" | "middle" | "end" = "start"): string =>
  element("text", { x: at.x, y: at.y, "text-anchor": anchor }, escapeHtml(text));

/** An arrow whose tip is at `to`; nothing where it has no length. */
export function arrow(from: Vec, to: Vec): string {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  if (length === 0) return "";
  const [ux, uy] = [(to.x - from.x) / length, (to.y - from.y) / length];
  const head = Math.min(1.6, length);
  const base = { x: to.x - head * ux, y: to.y - head * uy };
  const wing = (side: number): Vec => ({ x: base.x - side * 0.6 * uy, y: base.y + side * 0.6 * ux });
  return line("move", from, base) + outline("head", [to, wing(1), wing(-1)]);
}

/** Width of a letter in a drawing's text at the widest, mm of paper. */
const LETTER = 1.6;

/** How wide a text may stand in a drawing, mm of paper. */
export const textRoom = (text: string): number => [...text].length * LETTER;

/** A line between two places with a tick at either end and its length: written on it, or after it where there is no room. */
export function dimension(from: Vec, to: Vec, text: string, place: "on" | "after" = "on"): string {
  const tick = (at: Vec): string => line("thin", { x: at.x, y: at.y - 0.9 }, { x: at.x, y: at.y + 0.9 });
  const written =
    place === "on"
      ? label(text, { x: (from.x + to.x) / 2, y: from.y - 0.6 }, "middle")
      : label(text, { x: to.x + 1, y: to.y + 0.85 });
  return line("thin", from, to) + tick(from) + tick(to) + written;
}

/** A drawing of its own, `width` by `height` mm of paper, with a title for those who cannot see it. */
export function drawing(width: number, height: number, title: string, content: string): string {
  const size = { width: `${round(width)}mm`, height: `${round(height)}mm` };
  return element(
    "svg",
    {
      xmlns: "http://www.w3.org/2000/svg",
      role: "img",
      ...size,
      viewBox: `0 0 ${round(width)} ${round(height)}`,
    },
    element("title", {}, escapeHtml(title)) + content,
  );
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
  const [opening] = svg.match(/<svg[^>]*>/) ?? [];
  const size = (name: string): number =>
    Number(opening?.match(new RegExp(`\\s${name}="([\\d.]+)`))?.[1] ?? Number.NaN);
  const [from, tall] = [size("width"), size("height")];
  if (!opening || !(from > 0) || !(tall > 0) || !opening.includes("viewBox"))
    throw new RangeError(
      "the picture cannot be resized; it must state width, height and viewBox (in <svg>).",
    );
  const resized = opening
    .replace(/(\swidth=")[^"]*/, `$1${width}`)
    .replace(/(\sheight=")[^"]*/, `$1${Number(((tall * width) / from).toFixed(3))}`);
  return svg.replace(opening, () => resized);
}
