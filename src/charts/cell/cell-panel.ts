import { distance, type Vec } from "../../geometry/vector.js";
import type { Cell } from "../../lattice/cell.js";
import type { CellOutline } from "../../predict/cell-outline.js";
import type { ProbeGap } from "../../predict/predict-cell.js";
import type { AxisUnit } from "../axis-unit.js";
import { plotWidth } from "../chart-spec.js";
import type { Layer } from "../chart-spec.js";
import type { Panel } from "../chart-spec.js";
import { lines, polygons, px, symbols } from "../marks.js";
import { JOINT_STYLE, PALETTE, STROKE } from "../style.js";
import { PRESS_CROSS } from "./cell-legend.js";
import { middleOf } from "./clip-polygon.js";
import { gapLabels } from "./gap-labels.js";
import type { JointBand, JointLimits } from "./joint-bands.js";
import { nameLabels } from "./name-labels.js";
import { scaleBar } from "./scale-bar.js";
import { type View, viewOf } from "./view.js";
import { wallBands } from "./wall-bands.js";

export interface CellPanelInput {
  readonly cell: Cell;
  readonly outline: CellOutline;
  readonly bands: readonly JointBand[];
  readonly prediction: {
    readonly probes: readonly ProbeGap[];
    readonly worstGap: number;
    readonly worstPress: number;
  };
}
export interface CellPanelOptions extends JointLimits {
  readonly unit: AxisUnit;
  readonly width?: number;
  /** Whether gaps named carry their sign, for drawings to be compared; default false. */
  readonly signed?: boolean;
}

const BEYOND = 2;

/** Gaps lie under the wood, so that what is seen of them is what is not covered; presses lie over it. */
export function cellPanel(input: CellPanelInput, options: CellPanelOptions): Panel {
  const { cell, outline, bands } = input;
  // The walls run on beyond the frame, so that a wall that has moved leaves no notch at the rim.
  const walls = wallBands(outline.walls, BEYOND * cell.strip);
  const view = viewOf(cell, outline, wallBands(outline.walls, cell.strip), plotWidth(options.width));
  const clipped = (shapes: readonly { name: string; corners: readonly Vec[] }[]) =>
    shapes.map(({ name, corners }) => ({ name, corners: view.clip(corners) })).filter(hasCorners);
  const drawnWalls = clipped(walls);
  const drawnPieces = clipped(outline.pieces);
  const wood = { stroke: PALETTE.woodEdge, strokeWidth: STROKE.hair };
  return {
    width: view.width,
    height: view.height,
    layer: [
      ...polygons(drawnWalls, { fill: PALETTE.grid, stroke: PALETTE.grid, strokeWidth: 1 }),
      ...lines(wallFaces(outline, view), { color: PALETTE.woodEdge, width: STROKE.fine }),
      ...gapLayers(bands, view),
      ...polygons(drawnPieces, { fill: PALETTE.wood, ...wood }),
      ...touchLayers(bands, view),
      ...nameLabels([...drawnPieces, ...drawnWalls]),
      ...scaleBar(view, options.unit, outline.magnification),
      ...gapLabels(
        input,
        options,
        view,
        [...drawnWalls, ...drawnPieces, ...GAPS.flatMap((state) => shapesOf(bands, state, view))].map(
          (shape) => shape.corners,
        ),
      ),
    ],
  };
}

const hasCorners = ({ corners }: { corners: readonly unknown[] }): boolean => corners.length > 2;

const wallFaces = (outline: CellOutline, view: View) =>
  outline.walls.flatMap((wall) => {
    const line = view.clipLine(wall);
    return line ? [lineRow(line.from, line.to)] : [];
  });

const lineRow = (from: Vec, to: Vec) => ({ x: px(from.x), y: px(from.y), x2: px(to.x), y2: px(to.y) });

const shapesOf = (bands: readonly JointBand[], state: JointBand["state"], view: View) =>
  bands
    .filter((band) => band.state === state)
    .map(({ joint, corners }) => ({ name: joint, corners: view.clip(corners) }))
    .filter(hasCorners);

const GAPS = ["closed", "open", "wide"] as const;

function gapLayers(bands: readonly JointBand[], view: View): Layer[] {
  return GAPS.flatMap((state) => {
    const { fill, stroke, dash } = JOINT_STYLE[state];
    const rim = state === "closed" ? {} : { stroke, strokeWidth: STROKE.fine, dash };
    return polygons(shapesOf(bands, state, view), { fill, ...rim });
  });
}

/** Along the middle of each band of a state. */
const middles = (bands: readonly JointBand[], state: JointBand["state"], view: View) =>
  bands
    .filter((band) => band.state === state)
    .flatMap(({ corners: [a, b, c, d] }) => {
      const line = view.clipLine({ from: middleOf([a, d]), to: middleOf([b, c]) });
      return line ? [lineRow(line.from, line.to)] : [];
    });

/** A gap drawn narrower than this is marked by a line, px. */
const NARROW = 3;
const isNarrow = ({ state, corners: [a, b, c, d] }: JointBand, view: View): boolean =>
  state === "closed" || (view.scale * (distance(a, d) + distance(b, c))) / 2 < NARROW;

/** What lies over the wood: presses, and a line along each gap so that one too narrow to be drawn is still seen. */
function touchLayers(bands: readonly JointBand[], view: View): Layer[] {
  const { fill, stroke } = JOINT_STYLE.pressed;
  const narrow = bands.filter((band) => isNarrow(band, view));
  const crosses = middles(bands, "pressed", view).map(({ x, y, x2, y2 }) => ({
    x: (x + x2) / 2,
    y: (y + y2) / 2,
  }));
  return [
    ...GAPS.flatMap((state) =>
      lines(middles(narrow, state, view), {
        color: JOINT_STYLE[state].stroke,
        width: STROKE.mark,
        dash: JOINT_STYLE[state].dash,
      }),
    ),
    ...polygons(shapesOf(bands, "pressed", view), { fill, stroke, strokeWidth: STROKE.mark }),
    ...symbols(crosses, { ...PRESS_CROSS, stroke: PALETTE.paper, strokeWidth: STROKE.mark + 2.5 }),
    ...symbols(crosses, PRESS_CROSS),
  ];
}
