import { add, scale, type Vec } from "../../core/geometry.js";
import type { Joint } from "../../model/cell/cell.js";
import type { Html } from "../html.js";
import { PALETTE, SIZE, STROKE } from "../style.js";
import { circle, label, line } from "../svg.js";
import { placeLabel, rectangle } from "./labels.js";

/** The view: positions are px from the drawing's upper left corner. */
interface Placing {
  readonly width: number;
  readonly height: number;
  readonly place: (p: Vec) => Vec;
}

/** Radius of a numbered disc and of the dots at toe and heel, px. */
const DISC = 7.5;
const DOT = 2.4;

/** A number on a disc. */
export const numberDisc = (number: number, at: Vec): Html[] => [
  circle(at, DISC, { fill: PALETTE.paper, stroke: PALETTE.ink, "stroke-width": STROKE.hair }),
  label(String(number), { x: at.x, y: at.y + 3.6 }, { anchor: "middle", size: SIZE.tiny, weight: "bold" }),
];

/** The toe of a joint, a full dot. */
export const toeDot = (at: Vec): Html =>
  circle(at, DOT, { fill: PALETTE.ink, stroke: PALETTE.paper, "stroke-width": STROKE.hair });

/** The heel of a joint, a ring. */
export const heelDot = (at: Vec): Html =>
  circle(at, DOT, { fill: PALETTE.paper, stroke: PALETTE.ink, "stroke-width": STROKE.fine });

/** Draws joints with dots at their ends, each numbered from 1 on a disc beside it. */
export function jointMarks(
  joints: readonly Joint[],
  view: Placing,
  wood: readonly (readonly Vec[])[],
): Html[] {
  const ends = joints.map(({ toe, heel }) => [view.place(toe), view.place(heel)] as const);
  const dots = ends.flat().map(({ x, y }) => rectangle(x, y, 2 * DOT, 2 * DOT));
  const labels: Vec[][] = [];
  const numbers = ends.map(([toe, heel], i): Html[] => {
    const at = scale(add(toe, heel), 1 / 2);
    const request = { at, width: 2 * DISC, height: 2 * DISC };
    const place = placeLabel(request, { shapes: [...wood, ...dots], labels }, view);
    labels.push(rectangle(place.x, place.y, 2 * DISC + 2, 2 * DISC + 2));
    const centre = { x: place.x, y: place.y };
    return [
      line(toe, heel, { stroke: PALETTE.ink, "stroke-width": STROKE.mark }),
      line(at, centre, { stroke: PALETTE.computed, "stroke-width": STROKE.hair }),
      ...numberDisc(i + 1, centre),
    ];
  });
  return [...numbers.flat(), ...ends.flatMap(([toe, heel]) => [heelDot(heel), toeDot(toe)])];
}
