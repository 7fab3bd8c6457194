import type { Vec } from "../../geometry/vector.js";
import type { Cell } from "../../lattice/cell.js";
import type { CellOutline, Edge } from "../../predict/cell-outline.js";
import { type Box, boxAround, clipPolygon } from "./clip-polygon.js";

/** What is shown, and where it comes to lie: px from the panel's upper left corner. */
export interface View {
  readonly width: number;
  /** Of the drawing and the room for the scale bar under it. */
  readonly height: number;
  /** px per mm. */
  readonly scale: number;
  readonly place: (p: Vec) => Vec;
  /** The part of a convex shape that is shown, in px. */
  readonly clip: (corners: readonly Vec[]) => Vec[];
  /** The same of a line; `null` when nothing of it is shown. */
  readonly clipLine: (edge: Edge) => Edge | null;
}

/** Around the joints this many strip thicknesses are shown: a trial piece's far end is of no interest. */
const AROUND = 2.5;
const TALLEST = 600;
/** Free room above and below the drawing for labels, and under that for the scale bar, px. */
const LABEL_ROOM = 20;
export const BAR_ROOM = 20;

export function viewOf(
  cell: Cell,
  outline: CellOutline,
  walls: readonly { readonly corners: readonly Vec[] }[],
  width: number,
): View {
  const joints = boxAround(outline.joints.flatMap(({ first }) => [first.from, first.to]));
  const all = boxAround([...outline.pieces, ...walls].flatMap(({ corners }) => corners));
  const around = AROUND * cell.strip;
  const box: Box = {
    left: Math.max(all.left, joints.left - around),
    right: Math.min(all.right, joints.right + around),
    bottom: Math.max(all.bottom, joints.bottom - around),
    top: Math.min(all.top, joints.top + around),
  };
  const scale = Math.min(width / (box.right - box.left), TALLEST / (box.top - box.bottom));
  const left = (width - scale * (box.right - box.left)) / 2;
  const place = (p: Vec): Vec => ({
    x: left + scale * (p.x - box.left),
    y: LABEL_ROOM + scale * (box.top - p.y),
  });
  return {
    width,
    height: Math.ceil(scale * (box.top - box.bottom)) + 2 * LABEL_ROOM + BAR_ROOM,
    scale,
    place,
    clip: (corners) => clipPolygon(corners, box).map(place),
    clipLine: ({ from, to }) => {
      const [start, ...rest] = clipPolygon([from, to], box);
      const end = rest.find((p) => p.x !== start?.x || p.y !== start?.y);
      return start && end ? { from: place(start), to: place(end) } : null;
    },
  };
}
