import { add, distance, dot, scale, type Vec } from "../../core/geometry.js";
import type { Cell } from "../../model/cell/cell.js";
import type { CellOutline, Edge, ProbeGap } from "../../physics/predict/predict-cell.js";
import { type AxisUnit, quantityText } from "../charts/axes.js";
import { type Layer, type Panel, plotWidth } from "../charts/chart-spec.js";
import { lines, polygons, px, symbols, texts, textWidth } from "../charts/marks.js";
import { JOINT_STYLE, PALETTE, SIZE, STROKE } from "../style.js";
import { type JointBand, type JointLimits, PRESS_CROSS } from "./cell-legend.js";
import { type Box, boxAround, clipPolygon, middleOf, nameLabels, placeLabel, rectangle } from "./labels.js";

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
interface CellPanelOptions extends JointLimits {
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

/** Side of the square a ring stands in, px. */
const RING = 10;

/** The widest gap and the deepest press with their sizes, each beside its joint with a line to it; what is closed has none. */
function gapLabels(
  { bands, prediction }: CellPanelInput,
  { unit, snugLimit, signed = false }: CellPanelOptions,
  view: View,
  obstacles: readonly (readonly { x: number; y: number }[])[],
): Layer[] {
  const { worstGap, worstPress, probes } = prediction;
  const wanted = [
    { size: worstGap, gap: worstGap, before: `gap ${signed ? "+" : ""}`, color: PALETTE.attention },
    {
      size: worstPress,
      gap: -worstPress,
      before: `press ${signed ? "−" : ""}`,
      color: JOINT_STYLE.pressed.stroke,
    },
  ].filter(({ size }) => size > snugLimit);
  const taken = [...obstacles];
  return wanted.flatMap(({ gap, size, before, color }) => {
    const probe = probes.find((p) => p.gap === gap);
    const own = bands.filter((band) => band.joint === probe?.joint);
    const end = probe?.at === "toe" ? own[0] : own.at(-1);
    if (probe === undefined || end === undefined) return [];
    const [a, b, c, d] = end.corners;
    const [p, q] = probe.at === "toe" ? [a, d] : [b, c];
    const at = view.place({ x: (p.x + q.x) / 2, y: (p.y + q.y) / 2 });
    const text = `${before}${quantityText(size, unit)}`;
    const width = textWidth(text, SIZE.text, "bold") + 4;
    taken.push(rectangle(at.x, at.y, RING, RING));
    const place = placeLabel({ at, width, height: SIZE.text + 4 }, taken, {
      ...view,
      height: view.height - BAR_ROOM,
    });
    taken.push(rectangle(place.x, place.y, width, SIZE.text + 4));
    const leader = { x: px(at.x), y: px(at.y), x2: px(place.rimX), y2: px(place.rimY) };
    return [
      ...lines([leader], { color: PALETTE.paper, width: STROKE.strong + 1 }),
      ...lines([leader], { color, width: STROKE.fine }),
      ...symbols([leader], { shape: "circle", size: 40, fill: PALETTE.paper, stroke: color, strokeWidth: 2 }),
      ...texts([{ x: px(place.x), y: px(place.y + 4), text }], {
        align: "center",
        weight: "bold",
        color,
        halo: PALETTE.paper,
      }),
    ];
  });
}

type Wall = CellOutline["walls"][number];

/** A wall's strip (or a reference's body) behind its face, and the corner pieces where two walls meet at an angle. */
export function wallBands(
  walls: readonly Wall[],
  depth: number,
): { readonly name: string; readonly corners: Vec[] }[] {
  const behind = (p: Vec, { normal }: Wall): Vec => add(p, scale(normal, -depth));
  const bands = walls.map((wall) => ({
    name: wall.name,
    corners: [wall.from, wall.to, behind(wall.to, wall), behind(wall.from, wall)],
  }));
  const corners = walls.flatMap((a, i) =>
    walls.slice(0, i).flatMap((b) =>
      meetingEnds(a, b, depth).map(([onA, onB]) => ({
        name: `${a.name} ${b.name}`,
        corners: [onA, behind(onA, a), outerCorner(onA, a, b, depth), behind(onB, b), onB],
      })),
    ),
  );
  return [...bands, ...corners];
}

/** Ends of two walls that are one corner of the opening: nearer than the depth, and the walls turned towards each other. */
function meetingEnds(a: Wall, b: Wall, depth: number): [Vec, Vec][] {
  if (Math.abs(dot(a.normal, b.normal)) > 1 - 1e-6) return [];
  return [a.from, a.to].flatMap((onA) =>
    [b.from, b.to].flatMap((onB): [Vec, Vec][] =>
      Math.hypot(onA.x - onB.x, onA.y - onB.y) < depth ? [[onA, onB]] : [],
    ),
  );
}

/** Where the backs of two walls through `p` meet. */
function outerCorner(p: Vec, a: Wall, b: Wall, depth: number): Vec {
  return add(p, scale(add(a.normal, b.normal), -depth / (1 + dot(a.normal, b.normal))));
}

/** The bar is the longest of these that takes up no more than this share of the width and leaves room for the words on its right. */
const SHARE = 0.3;
const MILLIMETRES = [1, 2, 5, 10, 20, 50, 100, 200].map((mm) => ({ mm, text: `${mm} mm` }));
const INCHES = ["1/16", "1/8", "1/4", "1/2", "1", "2", "4", "8"].map((text, i) => ({
  mm: 25.4 * 2 ** (i - 4),
  text: `${text} in`,
}));

/** For the bar's own label and blank around it, px. */
const BAR_LABEL_ROOM = 70;

/** Under the drawing: a length of the wood to compare with, and how much larger movements are drawn. */
function scaleBar(view: View, unit: AxisUnit, magnification: number): Layer[] {
  const lengths = unit === "mm" ? MILLIMETRES : INCHES;
  const moves = `movements drawn × ${magnification}`;
  const left = view.width - textWidth(moves, SIZE.small, "bold") - BAR_LABEL_ROOM;
  const most = Math.min(SHARE * view.width, left);
  const { mm, text } = lengths.findLast((length) => length.mm * view.scale <= most) ?? lengths[0]!;
  const end = px(1 + mm * view.scale);
  const y = view.height - BAR_ROOM / 2;
  const tick = (x: number) => ({ x, y: y - 4, x2: x, y2: y + 4 });
  return [
    ...lines([{ x: 1, y, x2: end, y2: y }, tick(1), tick(end)], { color: PALETTE.ink, width: STROKE.fine }),
    ...texts([{ x: end + 8, y: y + 4, text }], { size: SIZE.small }),
    ...texts([{ x: view.width, y: y + 4, text: moves }], {
      size: SIZE.small,
      align: "right",
      weight: "bold",
    }),
  ];
}

/** What is shown, and where it comes to lie: px from the panel's upper left corner. */
interface View {
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
const BAR_ROOM = 20;

function viewOf(
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
