import { add, direction, distance, scale, sub, type Vec } from "../../core/geometry.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import { type Cell, type PanelSide, readDepths, sideDepth } from "../../model/cell/cell.js";
import { type CellOutline, cellOutline, type ProbeGap } from "../../physics/predict/predict-cell.js";
import {
  type JointBand,
  type JointLimits,
  jointBands,
  niceMagnification,
} from "../../render/cell/cell-legend.js";
import { wallBands } from "../../render/cell/cell-panel.js";
import { boxAround, middleOf, placeLabel, rectangle } from "../../render/cell/labels.js";
import { quantityText } from "../../render/charts/axes.js";
import { textWidth } from "../../render/charts/marks.js";
import { FONT, JOINT_STYLE, PALETTE } from "../../render/style.js";
import type { Played } from "./play-cell.js";
import { probesAtSide } from "./play-text.js";

export interface CellSvgOptions extends JointLimits {
  readonly unit: LengthUnit;
  /** How many times life size movements are drawn; `null` chooses. */
  readonly magnification: number | null;
  /** The side that a cell with a depth is drawn at, the back as seen through from the front; default the front. */
  readonly side?: PanelSide;
}

/** A drawing of a cell: what stands inside an `<svg>` of width and height {@link DRAWING}. */
export interface CellSvg {
  readonly inside: string;
  readonly magnification: number;
}

/** Side of the drawing, px of its viewBox. */
export const DRAWING = 640;
/** Strip thicknesses shown of the grid around the opening; strokes and letters, px. */
const AROUND = 1.5;
const NAME_SIZE = 17;
const LABEL_SIZE = 25;
const RING = 8;
/** A gap drawn narrower than this is marked by a line along it. */
const NARROW = 4;

/** The pieces where they lie, to scale, every movement drawn larger by one factor; each stretch of a joint by its state, in colour and by a second sign. */
export function cellSvg(cell: Cell, { errors, prediction }: Played, options: CellSvgOptions): CellSvg {
  const { side = "front" } = options;
  const outlineAt =
    (z: number) =>
    (factor: number): CellOutline =>
      cellOutline(cell, errors, prediction.rest.pose, factor, z);
  // One factor for both sides, so that a turn from one to the other shows the wood alone.
  const suiting = readDepths(cell).map((z) =>
    niceMagnification({
      ...{ strip: cell.strip, snugLimit: options.snugLimit, outlineAt: outlineAt(z) },
      worst: Math.max(prediction.worstGap, prediction.worstPress),
    }),
  );
  const magnification = options.magnification ?? Math.min(...suiting);
  const outline = outlineAt(cell.depth === undefined ? 0 : sideDepth(cell, side))(magnification);
  const probes = probesAtSide(prediction.probes, side);
  const worst = (sign: 1 | -1): number => Math.max(0, ...probes.map(({ gap }) => sign * gap));
  const bands = cell.joints.flatMap((joint, j) => {
    const gap = { toe: probes[2 * j]!.gap, heel: probes[2 * j + 1]!.gap };
    return jointBands(joint, outline.joints[j]!, gap, options);
  });
  const place = placer(cell);
  const walls = wallBands(outline.walls, 4 * cell.strip).map(({ corners }) => corners.map(place));
  const pieces = outline.pieces.map(({ name, corners }) => ({ name, corners: corners.map(place) }));
  const drawn = bands.map((band) => ({ ...band, corners: band.corners.map(place) }));
  return {
    magnification,
    inside: [
      `<rect width="${DRAWING}" height="${DRAWING}" fill="${PALETTE.paper}"/>`,
      ...walls.map((corners) => polygon(corners, PALETTE.grid, PALETTE.grid, 1)),
      ...outline.walls.map(({ from, to }) => line(place(from), place(to), PALETTE.woodEdge, 2)),
      ...GAPS.flatMap((state) => drawn.filter((band) => band.state === state).map(gapBand)),
      ...pieces.map(({ corners }) => polygon(corners, PALETTE.wood, PALETTE.woodEdge, 1)),
      ...drawn.flatMap(touch),
      ...pieces.map(nameOf),
      ...marks(probes, { worstGap: worst(1), worstPress: worst(-1) }, drawn, options, [
        ...pieces.map((p) => p.corners),
        ...walls,
      ]),
    ].join(""),
  };
}

const GAPS = ["closed", "open", "wide"] as const;

interface DrawnBand {
  readonly joint: string;
  readonly state: JointBand["state"];
  readonly corners: readonly Vec[];
}

/** The opening in the middle, as large as it will go. */
function placer({ walls, strip }: Cell): (p: Vec) => Vec {
  const corners = walls.flatMap(({ middle, normal, halfLength }) => {
    const along = scale(direction(normal + Math.PI / 2), halfLength);
    return [add(middle, along), sub(middle, along)];
  });
  const { left, right, bottom, top } = boxAround(corners);
  const size = DRAWING / (Math.max(right - left, top - bottom) + 2 * AROUND * strip);
  const [x0, y0] = [(left + right) / 2, (bottom + top) / 2];
  return ({ x, y }) => ({ x: DRAWING / 2 + size * (x - x0), y: DRAWING / 2 - size * (y - y0) });
}

const n = (value: number): string => value.toFixed(2);
const points = (corners: readonly Vec[]): string => corners.map(({ x, y }) => `${n(x)},${n(y)}`).join(" ");
const dashes = (dash: readonly number[]): string =>
  dash.length > 0 ? ` stroke-dasharray="${dash.map((length) => 1.5 * length).join(" ")}"` : "";

const polygon = (
  corners: readonly Vec[],
  fill: string,
  stroke: string,
  width: number,
  dash: readonly number[] = [],
): string =>
  `<polygon points="${points(corners)}" fill="${fill}" stroke="${stroke}" stroke-width="${width}"${dashes(dash)}/>`;

const line = (a: Vec, b: Vec, stroke: string, width: number, dash: readonly number[] = []): string =>
  `<line x1="${n(a.x)}" y1="${n(a.y)}" x2="${n(b.x)}" y2="${n(b.y)}" stroke="${stroke}" stroke-width="${width}"${dashes(dash)}/>`;

function gapBand({ corners, state }: DrawnBand): string {
  const { fill, stroke, dash } = JOINT_STYLE[state];
  return polygon(corners, fill, state === "closed" ? fill : stroke, 1.5, dash);
}

/** What lies over the wood: a line along what is closed or drawn too narrow to be seen, and every press with a cross. */
function touch({ corners, state }: DrawnBand): string[] {
  const [a, b, c, d] = corners as [Vec, Vec, Vec, Vec];
  const { fill, stroke, dash } = JOINT_STYLE[state];
  const [from, to] = [middleOf([a, d]), middleOf([b, c])];
  if (state !== "pressed") {
    const wide = (distance(a, d) + distance(b, c)) / 2 >= NARROW;
    return state !== "closed" && wide ? [] : [line(from, to, stroke, 3, dash)];
  }
  const { x, y } = middleOf([from, to]);
  const cross = `M${n(x - 6)} ${n(y - 6)}L${n(x + 6)} ${n(y + 6)}M${n(x - 6)} ${n(y + 6)}L${n(x + 6)} ${n(y - 6)}`;
  return [
    polygon(corners, fill, stroke, 3),
    `<path d="${cross}" stroke="${PALETTE.paper}" stroke-width="6"/><path d="${cross}" stroke="${stroke}" stroke-width="2.5"/>`,
  ];
}

function nameOf({ name, corners }: { readonly name: string; readonly corners: readonly Vec[] }): string {
  const edges = corners.map((from, i) => ({ from, to: corners[(i + 1) % corners.length]! }));
  const { from: p, to: q } = edges.reduce((best, edge) =>
    distance(edge.from, edge.to) > distance(best.from, best.to) ? edge : best,
  );
  const turn = (Math.atan2(q.y - p.y, q.x - p.x) * 180) / Math.PI;
  const upright = turn > 85 ? turn - 180 : turn <= -95 ? turn + 180 : turn;
  const { x, y } = middleOf(corners);
  return `<text x="${n(x)}" y="${n(y + NAME_SIZE / 3)}" transform="rotate(${n(upright)} ${n(x)} ${n(y)})" ${letters(NAME_SIZE, PALETTE.quiet)} text-anchor="middle">${name}</text>`;
}

const letters = (size: number, fill: string): string =>
  `font-family="${FONT}" font-size="${size}" fill="${fill}"`;

/** A ring at the widest gap and the deepest press, with their sizes beside them. */
function marks(
  probes: readonly ProbeGap[],
  { worstGap, worstPress }: { readonly worstGap: number; readonly worstPress: number },
  bands: readonly DrawnBand[],
  { unit, snugLimit }: CellSvgOptions,
  shapes: readonly (readonly Vec[])[],
): string[] {
  const taken = [...shapes];
  return [
    { word: "gap", gap: worstGap, color: PALETTE.attention },
    { word: "press", gap: -worstPress, color: JOINT_STYLE.pressed.stroke },
  ].flatMap(({ word, gap, color }) => {
    const probe = probes.find((one) => one.gap === gap);
    const own = bands.filter(({ joint }) => joint === probe?.joint);
    if (!probe || own.length === 0 || Math.abs(gap) <= snugLimit) return [];
    const [a, b, c, d] = (probe.at === "toe" ? own[0]! : own.at(-1)!).corners as [Vec, Vec, Vec, Vec];
    const at = probe.at === "toe" ? middleOf([a, d]) : middleOf([b, c]);
    const text = `${word} ${quantityText(Math.abs(gap), unit === "mm" ? "mm" : "thou")}`;
    const size = { width: textWidth(text, LABEL_SIZE, "bold"), height: LABEL_SIZE + 4 };
    taken.push(rectangle(at.x, at.y, 2 * RING, 2 * RING));
    const label = placeLabel({ at, ...size }, taken, { width: DRAWING, height: DRAWING });
    taken.push(rectangle(label.x, label.y, size.width, size.height));
    return [
      line(at, { x: label.rimX, y: label.rimY }, PALETTE.paper, 5),
      line(at, { x: label.rimX, y: label.rimY }, color, 2),
      `<circle cx="${n(at.x)}" cy="${n(at.y)}" r="${RING}" fill="none" stroke="${color}" stroke-width="3"/>`,
      `<text x="${n(label.x)}" y="${n(label.y + LABEL_SIZE / 3)}" ${letters(LABEL_SIZE, color)} font-weight="bold" text-anchor="middle" stroke="${PALETTE.paper}" stroke-width="4" paint-order="stroke">${text}</text>`,
    ];
  });
}
