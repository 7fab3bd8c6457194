import { add, direction, scale, type Vec, vec } from "../../../src/core/geometry.js";
import { type Attributes, type Html, markup } from "../../../src/render/html.js";
import { PALETTE, SIZE, STROKE } from "../../../src/render/style.js";
import { circle, dashes, label, line, polygon, rect, svgDocument } from "../../../src/render/svg.js";

/** The figure of docs/model.md: a piece in its own frame, and one joint apart. Angles in rad, lengths in px; y runs down the page. */
export function modelCoordinates(): string {
  const [width, height] = [800, 372];
  const head = {
    title: "A piece in its own frame, and the gap of one joint",
    description:
      "On the left a piece with its origin, axis x, y to the left, thickness t, and a cut at the end that faces the left side: at the angle J from square, crossing the axis at the reach a; dashed, the same cut turned by δ and moved outward by e. On the right the faces of one joint, apart: at toe and heel the gap is read along the nominal normal n of the face named first.",
    width,
    height,
  };
  const paper = rect(0, 0, width, height, { fill: PALETTE.paper });
  return `${svgDocument(head, paper, pieceFrame(), jointFrame())}\n`;
}

const INK = { stroke: PALETTE.ink, "stroke-width": STROKE.fine };
const QUIET = { stroke: PALETTE.quiet, "stroke-width": STROKE.hair };
const ERROR = { stroke: PALETTE.attention, "stroke-width": STROKE.mark, ...dashes([6, 4]) };
const WOOD = { fill: PALETTE.wood, stroke: PALETTE.woodEdge, "stroke-width": STROKE.fine };
const MIDDLE = { anchor: "middle", size: SIZE.title } as const;
const HEADING = { size: SIZE.title, weight: "bold" } as const;

/** A line with a head at its end. */
function arrow(from: Vec, to: Vec, style: Attributes): Html {
  const along = Math.atan2(to.y - from.y, to.x - from.x);
  const barb = (turn: number): Vec => add(to, scale(direction(along + Math.PI + turn), 9));
  const solid = { ...style, "stroke-dasharray": undefined };
  return markup(line(from, to, style), line(to, barb(0.4), solid), line(to, barb(-0.4), solid));
}

/** A measure: a line with heads at both ends. */
const measure = (from: Vec, to: Vec): Html => markup(arrow(from, to, QUIET), arrow(to, from, QUIET));

/** An arc about a centre, by a broken line. */
function arc(centre: Vec, radius: number, from: number, to: number): Html[] {
  const steps = 16;
  const place = (i: number): Vec => add(centre, scale(direction(from + ((to - from) * i) / steps), radius));
  return Array.from({ length: steps }, (_, i) => line(place(i), place(i + 1), QUIET));
}

function pieceFrame(): Html {
  const [middle, left, half, reach] = [220, 40, 55, 200];
  const origin = vec(130, middle);
  const jig = 0.52;
  const delta = 0.16;
  // The cut faces the left side (up): s·x = a − σ·y·tan J, so its upper end is the shorter one.
  const at = (a: number, angle: number, y: number): Vec =>
    vec(origin.x + a - y * Math.tan(angle), middle - y);
  const cross = at(reach, jig, 0);
  const normal = direction(-jig);
  const moved = 24;
  const square = (y: number): Vec => vec(cross.x, middle - y);
  return markup(
    label("A piece in its own frame", vec(24, 26), HEADING),
    polygon(
      [vec(left, middle - half), at(reach, jig, half), at(reach, jig, -half), vec(left, middle + half)],
      WOOD,
    ),
    arrow(vec(left - 14, middle), vec(352, middle), INK),
    label("x", vec(360, middle + 5), { size: SIZE.title }),
    arrow(origin, vec(origin.x, middle - 110), INK),
    label("y (left)", vec(origin.x + 8, middle - 104), { size: SIZE.title }),
    circle(origin, 3.5, { fill: PALETTE.ink }),
    label("origin", vec(origin.x - 8, middle + 20), { anchor: "end", size: SIZE.text }),
    measure(vec(60, middle - half), vec(60, middle + half)),
    label("t", vec(70, middle - 18), { size: SIZE.title, halo: PALETTE.wood }),
    measure(vec(origin.x, middle + half + 26), vec(cross.x, middle + half + 26)),
    label("reach a", vec((origin.x + cross.x) / 2, middle + half + 46), MIDDLE),
    line(cross, vec(cross.x, middle + half + 32), { ...QUIET, ...dashes([2, 3]) }),
    line(origin, vec(origin.x, middle + half + 32), { ...QUIET, ...dashes([2, 3]) }),
    line(cross, square(118), { ...QUIET, ...dashes([2, 3]) }),
    arc(cross, 104, -Math.PI / 2 - jig, -Math.PI / 2),
    line(cross, at(reach, jig, 96), QUIET),
    label("J", vec(cross.x - 30, middle - 108), MIDDLE),
    line(at(reach + moved, jig + delta, half + 12), at(reach + moved, jig + delta, -half), ERROR),
    arrow(vec(cross.x, middle + 12), vec(cross.x + moved, middle + 12), {
      ...ERROR,
      "stroke-dasharray": undefined,
    }),
    label("e", vec(cross.x + moved / 2, middle + 30), {
      ...MIDDLE,
      color: PALETTE.attention,
      halo: PALETTE.paper,
    }),
    label("J + δ", vec(at(reach + moved, jig + delta, -half).x + 8, middle + half + 5), {
      size: SIZE.title,
      color: PALETTE.attention,
    }),
    arrow(at(reach, jig, 24), add(at(reach, jig, 24), scale(normal, 62)), INK),
    label("n", add(at(reach, jig, 24), vec(64, -28)), { size: SIZE.title }),
    label("This cut closes the end (s = +1) and faces left (σ = +1).", vec(24, height(-24)), {
      size: SIZE.text,
    }),
    label("δ > 0 makes the point sharper, e > 0 the piece longer.", vec(24, height(-7)), { size: SIZE.text }),
  );
}

const height = (from: number): number => 364 + from;

function jointFrame(): Html {
  const [x, toe, heel] = [600, 300, 100];
  const first = { low: vec(x - 8, toe + 24), high: vec(x - 44, heel - 24) };
  const mate = { low: vec(x + 14, toe + 24), high: vec(x + 34, heel - 24) };
  const on = ({ low, high }: typeof first, y: number): Vec =>
    vec(low.x + ((high.x - low.x) * (low.y - y)) / (low.y - high.y), y);
  const gap = (y: number, name: string): Html =>
    markup(
      circle(vec(x, y), 4, { fill: PALETTE.computed }),
      arrow(vec(x, y), on(first, y), { stroke: PALETTE.computed, "stroke-width": STROKE.mark }),
      arrow(vec(x, y), on(mate, y), { stroke: PALETTE.computed, "stroke-width": STROKE.mark }),
      label(name, vec(x + 96, y + 5), { size: SIZE.title, color: PALETTE.computed }),
      line(vec(x + 90, y), vec(on(mate, y).x + 4, y), { ...QUIET, ...dashes([2, 3]) }),
    );
  return markup(
    label("One joint, apart", vec(470, 26), HEADING),
    polygon([first.low, first.high, vec(470, heel - 24), vec(470, toe + 24)], WOOD),
    polygon([mate.low, mate.high, vec(762, heel - 24), vec(762, toe + 24)], {
      ...WOOD,
      fill: PALETTE.grid,
    }),
    line(vec(x, heel - 40), vec(x, toe + 34), { ...QUIET, ...dashes([6, 3, 2, 3]) }),
    label("nominal line", vec(x + 6, heel - 34), { size: SIZE.small, color: PALETTE.quiet }),
    label("first", vec(490, 160), { size: SIZE.title }),
    label("mate", vec(712, 160), { size: SIZE.title }),
    gap(heel, "heel"),
    gap(toe, "toe"),
    label("−h of first", vec(on(first, heel).x - 6, heel + 5), {
      anchor: "end",
      size: SIZE.text,
      color: PALETTE.computed,
    }),
    arrow(vec(x - 110, 210), vec(x - 50, 210), INK),
    label("n", vec(x - 84, 202), MIDDLE),
    label("g = −(h of first + h of mate), at toe and heel:", vec(470, height(-24)), { size: SIZE.text }),
    label("g > 0 open, g < 0 pressed. Probes do not move.", vec(470, height(-7)), { size: SIZE.text }),
  );
}
