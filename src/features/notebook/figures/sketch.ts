import { add, direction, distance, rotate, scale, sub, type Vec, vec } from "../../../core/geometry.js";
import { type Attributes, type Content, element, type Html } from "../../../render/html.js";
import { DEFAULT_WIDTH, PALETTE, RIM, SIZE, STROKE } from "../../../render/style.js";
import { type Block, type Drawing, framedDrawing, group, label, line, polygon } from "../../../render/svg.js";

/** Width of a sketch inside its rim, px: the width of a phone. */
export const SKETCH_WIDTH = DEFAULT_WIDTH - 2 * RIM;

/** Of a line that was meant, and of one that is. */
export const NOMINAL: Attributes = {
  stroke: PALETTE.quiet,
  "stroke-width": STROKE.mark,
  "stroke-dasharray": "5 4",
};
export const ACTUAL: Attributes = { stroke: PALETTE.ink, "stroke-width": STROKE.mark };
export const WOOD: Attributes = { fill: PALETTE.wood, stroke: PALETTE.woodEdge, "stroke-width": 1 };
export const GRID: Attributes = { fill: PALETTE.grid, stroke: PALETTE.woodEdge, "stroke-width": 1 };

/** A sketch of an idea under a title, its scale its own. */
export function sketch(
  frame: { readonly title: string; readonly notes: readonly string[]; readonly description: string },
  height: number,
  ...content: Content[]
): Drawing {
  const block: Block = { width: SKETCH_WIDTH, height, content };
  return framedDrawing(frame, [block]);
}

/** A line with a head at its end, or at both. */
export function arrow(from: Vec, to: Vec, { color = PALETTE.ink as string, both = false } = {}): Html {
  const head = (tip: Vec, tail: Vec): Html => {
    const along = scale(sub(tail, tip), 7 / Math.max(distance(tail, tip), 1e-9));
    return polygon([tip, add(tip, rotate(along, 0.4)), add(tip, rotate(along, -0.4))], { fill: color });
  };
  return group(
    {},
    line(from, to, { stroke: color, "stroke-width": 1.5 }),
    head(to, from),
    both ? head(from, to) : "",
  );
}

/** An arc about `centre` between two angles (rad, clockwise on the page), with a word beside its middle. */
export function angleMark(centre: Vec, radius: number, from: number, to: number, word: string): Html {
  const [a, b] = [add(centre, scale(direction(from), radius)), add(centre, scale(direction(to), radius))];
  const at = add(centre, scale(direction((from + to) / 2), radius + 12));
  const round = (value: number): string => value.toFixed(1);
  return group(
    {},
    element("path", {
      d: `M ${round(a.x)} ${round(a.y)} A ${radius} ${radius} 0 0 ${to > from ? 1 : 0} ${round(b.x)} ${round(b.y)}`,
      fill: "none",
      stroke: PALETTE.computed,
      "stroke-width": 1.5,
    }),
    word === "" ? "" : note(word, vec(at.x, at.y + 4), { color: PALETTE.computed, anchor: "middle" }),
  );
}

interface NoteStyle {
  readonly color?: string;
  readonly anchor?: "start" | "middle" | "end";
  readonly weight?: "plain" | "bold";
  readonly size?: number;
}

/** A word on a sketch, with a rim so that lines do not run through it. */
export const note = (text: string, at: Vec, style: NoteStyle = {}): Html =>
  label(text, at, { size: SIZE.text, halo: PALETTE.paper, ...style });

/** A spring from one place to another, drawn as a zigzag. */
export function spring(from: Vec, to: Vec, color: string): Html {
  const turns = 7;
  const along = sub(to, from);
  const length = Math.max(distance(from, to), 1e-9);
  const aside = scale(vec(-along.y, along.x), 5 / length);
  const points = Array.from({ length: turns + 1 }, (_, i) => {
    const middle = add(from, scale(along, i / turns));
    const side = i === 0 || i === turns ? 0 : i % 2 === 0 ? 1 : -1;
    return add(middle, scale(aside, side));
  });
  const d = points.map(({ x, y }, i) => `${i === 0 ? "M" : "L"} ${x.toFixed(1)} ${y.toFixed(1)}`).join(" ");
  return element("path", { d, fill: "none", stroke: color, "stroke-width": 2 });
}
