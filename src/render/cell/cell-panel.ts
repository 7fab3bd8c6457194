import { add, distance, dot, scale, type Vec } from "../../core/geometry.js";
import type { Cell } from "../../model/cell/cell.js";
import type { CellOutline, ProbeGap } from "../../physics/predict/predict-cell.js";
import type { Html } from "../html.js";
import { type AxisUnit, quantityText } from "../shop-numbers.js";
import { JOINT_STYLE, PALETTE, SIZE, STROKE } from "../style.js";
import { type Block, circle, dashes, label, line, polygon } from "../svg.js";
import { textWidth } from "../text-layout.js";
import { type JointBand, type JointLimits, pressCross } from "./cell-legend.js";
import {
  type Box,
  boxAround,
  clipPolygon,
  type LabelPlace,
  middleOf,
  type NamedShape,
  nameBoxes,
  nameLabels,
  placeLabel,
  rectangle,
} from "./labels.js";

/** A cell to be drawn, seen from one side if it has two. */
export interface CellPanelInput {
  readonly cell: Cell;
  readonly outline: CellOutline;
  readonly bands: readonly JointBand[];
  readonly prediction: {
    readonly probes: readonly ProbeGap[];
    readonly widestGap: number;
    readonly deepestPress: number;
  };
}

interface CellPanelOptions extends JointLimits {
  readonly unit: AxisUnit;
  /** Whether labelled gaps show their sign, for drawings that are to be compared; default false. */
  readonly signed?: boolean;
}

/** The visible part of a cell and its position: px from the drawing's upper left corner. */
export interface View {
  readonly width: number;
  readonly height: number;
  /** px per mm. */
  readonly scale: number;
  readonly place: (p: Vec) => Vec;
  /** The visible part of a convex shape, in px. */
  readonly clip: (corners: readonly Vec[]) => Vec[];
}

/** Draws a cell around its joints, `width` px wide, with a scale bar below. */
export function cellPanel(input: CellPanelInput, options: CellPanelOptions, width: number): Block {
  const view = aroundJoints(input, width);
  return {
    width,
    height: view.height + BAR_ROOM,
    content: [cellContent(input, options, view), scaleBar(view, options.unit, input.outline.magnification)],
  };
}

/** Depth of drawn walls in strip thicknesses; it reaches beyond the frame, so that a wall that has moved leaves no notch at the edge. */
const BEYOND = 2;

/** Draws walls, pieces and joints, the names of the pieces, and the widest gap and the deepest press. Gaps lie under the wood, so that only their uncovered part is visible; presses lie over it. */
export function cellContent(input: CellPanelInput, options: CellPanelOptions, view: View): Html[] {
  const { cell, outline, bands } = input;
  const clipped = (shapes: readonly NamedShape[]): NamedShape[] =>
    shapes
      .map(({ name, corners }) => ({ name, corners: view.clip(corners) }))
      .filter(({ corners }) => corners.length > 2);
  const walls = clipped(wallBands(outline.walls, BEYOND * cell.strip));
  const pieces = clipped(outline.pieces);
  const drawn = bands.map((band) => ({ ...band, shown: view.clip(band.corners) }));
  const faces = outline.walls.flatMap(({ from, to }) => clippedLine(view, from, to));
  const gaps = drawn.filter(({ state }) => state !== "pressed");
  return [
    ...shapes(walls, { fill: PALETTE.grid, stroke: PALETTE.grid, "stroke-width": 1 }),
    ...faces.map(([from, to]) => line(from, to, { stroke: PALETTE.woodEdge, "stroke-width": STROKE.fine })),
    ...GAPS.flatMap((state) => gaps.filter((band) => band.state === state).flatMap(bandShape)),
    ...shapes(pieces, { fill: PALETTE.wood, stroke: PALETTE.woodEdge, "stroke-width": STROKE.hair }),
    ...GAPS.flatMap((state) =>
      gaps.filter((band) => band.state === state).flatMap((band) => narrowGap(band, view)),
    ),
    ...drawn
      .filter(({ state }) => state === "pressed")
      .flatMap((band) => [...bandShape(band), ...crossOn(band, view)]),
    ...nameLabels([...pieces, ...walls]),
    ...gapLabels(input, options, view, {
      // A label may lie on the wide strips of the grid, but not on a name there.
      shapes: [...pieces.map(({ corners }) => corners), ...gaps.map(({ shown }) => shown)].filter(
        ({ length }) => length > 2,
      ),
      names: nameBoxes([...pieces, ...walls]),
    }),
  ];
}

/** Closed outlines with their names. */
export const shapes = (list: readonly NamedShape[], style: Parameters<typeof polygon>[1]): Html[] =>
  list.map(({ name, corners }) =>
    polygon(corners, { "data-name": name, ...style, "stroke-linejoin": "round" }),
  );

/** The two ends of the visible part of a line; empty if none of it is visible. */
function clippedLine(view: View, from: Vec, to: Vec): [Vec, Vec][] {
  const [start, ...rest] = view.clip([from, to]);
  const end = rest.find((p) => p.x !== start?.x || p.y !== start?.y);
  return start && end ? [[start, end]] : [];
}

const GAPS = ["closed", "open", "wide"] as const;

interface DrawnBand extends JointBand {
  /** Its visible part, px. */
  readonly shown: readonly Vec[];
}

function bandShape({ joint, state, shown }: DrawnBand): Html[] {
  if (shown.length < 3) return [];
  const { fill, stroke, dash } = JOINT_STYLE[state];
  const rim = {
    stroke: state === "closed" ? fill : stroke,
    "stroke-width": state === "closed" ? 0 : state === "pressed" ? STROKE.mark : STROKE.fine,
  };
  return shapes([{ name: joint, corners: shown }], { fill, ...rim, ...dashes(dash) });
}

/** A gap drawn narrower than this is marked by a line along it, so that it stays visible; px. */
const NARROW = 3;

/** The centre line of a band. */
const middleOfBand = ({ corners: [a, b, c, d] }: DrawnBand, view: View): [Vec, Vec][] =>
  clippedLine(view, middleOf([a, d]), middleOf([b, c]));

function narrowGap(band: DrawnBand, view: View): Html[] {
  const [a, b, c, d] = band.corners;
  if (band.state !== "closed" && (view.scale * (distance(a, d) + distance(b, c))) / 2 >= NARROW) return [];
  const { stroke, dash } = JOINT_STYLE[band.state];
  return middleOfBand(band, view).map(([from, to]) =>
    line(from, to, { "data-name": band.joint, stroke, "stroke-width": STROKE.mark, ...dashes(dash) }),
  );
}

const crossOn = (band: DrawnBand, view: View): Html[] =>
  middleOfBand(band, view).flatMap((ends) => pressCross(middleOf(ends)));

/** Side of the square a ring stands in, px. */
const RING = 10;

/** Labels with the sizes of the widest gap and the deepest press, each beside its joint with a leader to it; a closed one gets no label. */
function gapLabels(
  { bands, prediction }: CellPanelInput,
  { unit, snugLimit, signed = false }: CellPanelOptions,
  view: View,
  obstacles: { readonly shapes: readonly (readonly Vec[])[]; readonly names: readonly (readonly Vec[])[] },
): Html[] {
  const { widestGap, deepestPress, probes } = prediction;
  const wanted = [
    { size: widestGap, gap: widestGap, before: `gap ${signed ? "+" : ""}`, color: PALETTE.attention },
    {
      size: deepestPress,
      gap: -deepestPress,
      before: `press ${signed ? "−" : ""}`,
      color: JOINT_STYLE.pressed.stroke,
    },
  ].filter(({ size }) => size > snugLimit);
  const rings: Vec[][] = [];
  const named = wanted.flatMap(({ gap, size, before, color }) => {
    const probe = probes.find((p) => p.gap === gap);
    const own = bands.filter((band) => band.joint === probe?.joint);
    const end = probe?.at === "toe" ? own[0] : own.at(-1);
    if (probe === undefined || end === undefined) return [];
    const [a, b, c, d] = end.corners;
    const at = view.place(middleOf(probe.at === "toe" ? [a, d] : [b, c]));
    rings.push(rectangle(at.x, at.y, RING, RING));
    return [{ at, color, text: `${before}${quantityText(size, unit)}` }];
  });
  const ways = [named, named.toReversed()].map((order) =>
    placedLabels(order, { shapes: [...obstacles.shapes, ...rings], labels: obstacles.names }, view),
  );
  const best = ways.reduce((a, b) => (b.score > a.score ? b : a));
  return [
    // Leaders are drawn first, so that none of them crosses out text.
    ...best.placed.flatMap(({ at, color, place }) => {
      const rim = { x: place.rimX, y: place.rimY };
      return [
        line(at, rim, { stroke: PALETTE.paper, "stroke-width": STROKE.strong + 1 }),
        line(at, rim, { stroke: color, "stroke-width": STROKE.fine }),
        circle(at, RING_RADIUS, { fill: PALETTE.paper, stroke: color, "stroke-width": STROKE.mark }),
      ];
    }),
    ...best.placed.map(({ text, color, place }) =>
      label(
        text,
        { x: place.x, y: place.y + 4 },
        { anchor: "middle", weight: "bold", color, halo: PALETTE.paper },
      ),
    ),
  ];
}

interface NamedSize {
  readonly at: Vec;
  readonly color: string;
  readonly text: string;
}

/** Places labels one after another, each clear of the earlier ones, and returns the total score of their positions. */
function placedLabels(
  named: readonly NamedSize[],
  {
    shapes,
    labels,
  }: { readonly shapes: readonly (readonly Vec[])[]; readonly labels: readonly (readonly Vec[])[] },
  view: View,
): { readonly placed: readonly (NamedSize & { readonly place: LabelPlace })[]; readonly score: number } {
  const taken = [...labels];
  let score = 0;
  const placed = named.map((one) => {
    const [width, height] = [textWidth(one.text, SIZE.text, "bold") + 4, SIZE.text + 4];
    const place = placeLabel({ at: one.at, width, height }, { shapes, labels: taken }, view);
    taken.push(rectangle(place.x, place.y, width, height));
    score += place.score;
    return { ...one, place };
  });
  return { placed, score };
}

/** px. */
const RING_RADIUS = 3.6;

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

/** Pairs of wall ends that form a corner of the opening: closer than the depth, with the walls turned towards each other. */
function meetingEnds(a: Wall, b: Wall, depth: number): [Vec, Vec][] {
  if (Math.abs(dot(a.normal, b.normal)) > 1 - 1e-6) return [];
  return [a.from, a.to].flatMap((onA) =>
    [b.from, b.to].flatMap((onB): [Vec, Vec][] =>
      Math.hypot(onA.x - onB.x, onA.y - onB.y) < depth ? [[onA, onB]] : [],
    ),
  );
}

/** The point where the backs of two walls through `p` meet. */
function outerCorner(p: Vec, a: Wall, b: Wall, depth: number): Vec {
  return add(p, scale(add(a.normal, b.normal), -depth / (1 + dot(a.normal, b.normal))));
}

/** The scale bar is the longest of these lengths that takes up at most this share of the width and leaves room for the text on its right. */
const SHARE = 0.3;
const MILLIMETRES = [1, 2, 5, 10, 20, 50, 100, 200].map((mm) => ({ mm, text: `${mm} mm` }));
const INCHES = ["1/16", "1/8", "1/4", "1/2", "1", "2", "4", "8"].map((text, i) => ({
  mm: 25.4 * 2 ** (i - 4),
  text: `${text} in`,
}));

const SHORTEST = { mm: { mm: 1, text: "1 mm" }, in: { mm: 25.4 / 16, text: "1/16 in" } };

/** Room for the label of the bar and the blank around it, px. */
const BAR_LABEL_ROOM = 70;

/** The scale bar under the drawing, and the magnification of movements. */
function scaleBar(view: View, unit: AxisUnit, magnification: number): Html[] {
  const lengths = unit === "mm" ? MILLIMETRES : INCHES;
  const moves = `movements drawn × ${magnification}`;
  const left = view.width - textWidth(moves, SIZE.small, "bold") - BAR_LABEL_ROOM;
  const most = Math.min(SHARE * view.width, left);
  const { mm, text } =
    lengths.findLast((length) => length.mm * view.scale <= most) ?? SHORTEST[unit === "mm" ? "mm" : "in"];
  const [start, end] = [1, 1 + mm * view.scale];
  const y = view.height + BAR_ROOM / 2;
  const stroke = { stroke: PALETTE.ink, "stroke-width": STROKE.fine };
  const tick = (x: number): Html => line({ x, y: y - 4 }, { x, y: y + 4 }, stroke);
  const small = { size: SIZE.small } as const;
  return [
    line({ x: start, y }, { x: end, y }, stroke),
    tick(start),
    tick(end),
    label(text, { x: end + 8, y: y + 4 }, small),
    label(moves, { x: view.width, y: y + 4 }, { ...small, anchor: "end", weight: "bold" }),
  ];
}

/** Margin shown around the joints, in strip thicknesses: the far end of a trial piece is of no interest. */
const AROUND = 2.5;
const TALLEST = 600;
/** Room above and below the drawing for labels, and below that for the scale bar, px. */
const LABEL_ROOM = 20;
const BAR_ROOM = 20;

function aroundJoints({ cell, outline }: CellPanelInput, width: number): View {
  const joints = boxAround(outline.joints.flatMap(({ first }) => [first.from, first.to]));
  const all = boxAround(
    [...outline.pieces, ...wallBands(outline.walls, cell.strip)].flatMap(({ corners }) => corners),
  );
  const around = AROUND * cell.strip;
  return viewOf(
    {
      left: Math.max(all.left, joints.left - around),
      right: Math.min(all.right, joints.right + around),
      bottom: Math.max(all.bottom, joints.bottom - around),
      top: Math.min(all.top, joints.top + around),
    },
    { width, tallest: TALLEST, above: LABEL_ROOM },
  );
}

/** Fits a part of the plane into the width and height, centred, with `above` px free above and below it. */
export function viewOf(
  box: Box,
  {
    width,
    tallest,
    above = 0,
  }: { readonly width: number; readonly tallest: number; readonly above?: number },
): View {
  const [wide, high] = [box.right - box.left, box.top - box.bottom];
  const size = Math.min(width / wide, tallest / high);
  const left = (width - size * wide) / 2;
  const place = (p: Vec): Vec => ({ x: left + size * (p.x - box.left), y: above + size * (box.top - p.y) });
  return {
    width,
    height: Math.ceil(size * high) + 2 * above,
    scale: size,
    place,
    clip: (corners) => clipPolygon(corners, box).map(place),
  };
}
