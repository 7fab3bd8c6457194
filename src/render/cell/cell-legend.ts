import { add, dot, scale, sub, type Vec } from "../../core/geometry.js";
import type { Joint } from "../../model/cell/cell.js";
import type { CellOutline, Edge } from "../../physics/predict/predict-cell.js";
import { element, type Html } from "../html.js";
import { type AxisUnit, quantityText } from "../shop-numbers.js";
import { JOINT_STYLE, type JointState, PALETTE, STROKE } from "../style.js";
import { type Block, dashes, legendBlock, line, rect, SWATCH } from "../svg.js";

/** A cross over a pressed spot, with a pale rim so that it is visible on any background; `half` is half of its side, px. */
export function pressCross({ x, y }: Vec, half = 3): Html[] {
  const d = `M${x - half} ${y - half}L${x + half} ${y + half}M${x - half} ${y + half}L${x + half} ${y - half}`;
  return [
    { stroke: PALETTE.paper, "stroke-width": STROKE.mark + 2.5 },
    { stroke: JOINT_STYLE.pressed.stroke, "stroke-width": STROKE.mark },
  ].map((stroke) => element("path", { d, fill: "none", ...stroke }));
}

/** Width of the band in a swatch, px. */
const BAND: Record<JointState, number> = { wide: 9, open: 5, closed: 3, pressed: 12 };
const HALF_HEIGHT = 6;

/** The legend of joint states: two pieces of wood and what lies between them. */
export function cellLegend(options: JointLimits & { readonly unit: AxisUnit }, room: number): Block {
  const limit = (value: number): string => quantityText(value, options.unit);
  const texts: Record<JointState, string> = {
    wide: `gap over ${limit(options.gapLimit)}`,
    open: `gap up to ${limit(options.gapLimit)}`,
    closed: `closed to ${limit(options.snugLimit)}`,
    pressed: `press over ${limit(options.snugLimit)}`,
  };
  const states = ["wide", "open", "closed", "pressed"] as const;
  return legendBlock(
    states.map((state) => ({ text: texts[state], swatch: (x, y) => jointSwatch(state, x, y) })),
    room,
  );
}

/** A swatch of a joint in a given state, {@link SWATCH} px wide, starting at `x` and centred on the line at `y`. */
export function jointSwatch(state: JointState, x: number, y: number): Html[] {
  const middle = x + SWATCH / 2;
  const half = BAND[state] / 2;
  const box = (left: number, right: number, style: Parameters<typeof rect>[4]): Html =>
    rect(left, y - HALF_HEIGHT, right - left, 2 * HALF_HEIGHT, { "stroke-width": STROKE.hair, ...style });
  const wood = { fill: PALETTE.wood, stroke: PALETTE.woodEdge };
  const { fill, stroke, dash } = JOINT_STYLE[state];
  const [top, bottom] = [
    { x: middle, y: y - HALF_HEIGHT },
    { x: middle, y: y + HALF_HEIGHT },
  ];
  return [
    box(x, middle - half, wood),
    box(middle + half, x + SWATCH, wood),
    box(middle - half, middle + half, { fill, stroke: state === "closed" ? fill : stroke, ...dashes(dash) }),
    ...(state === "closed" ? [line(top, bottom, { stroke, "stroke-width": STROKE.mark })] : []),
    ...(state === "pressed" ? pressCross({ x: middle, y }) : []),
  ];
}

/** Limits for closed and for too wide, mm. */
export interface JointLimits {
  /** A gap wider than this, mm, is too wide. */
  readonly gapLimit: number;
  /** A gap up to this, mm, is closed, and so is a press. */
  readonly snugLimit: number;
}

/** A segment of a joint in one state: the four corners of the band between its faces, two on the first face, two on its mate. */
export interface JointBand {
  readonly joint: string;
  readonly state: JointState;
  readonly corners: readonly [Vec, Vec, Vec, Vec];
}

/** The state of a face at a place with this gap (mm, positive = open). */
export function jointState(gap: number, { gapLimit, snugLimit }: JointLimits): JointState {
  if (gap < -snugLimit) return "pressed";
  if (gap <= snugLimit) return "closed";
  return gap <= gapLimit ? "open" : "wide";
}

/** Divides a joint from toe to heel into segments of one state each; the gap is interpolated linearly between its ends. */
export function jointBands(
  joint: Pick<Joint, "name" | "toe" | "heel">,
  faces: { readonly first: Edge; readonly mate: Edge },
  gap: { readonly toe: number; readonly heel: number },
  limits: JointLimits,
): JointBand[] {
  const ends = facing(joint, faces);
  const fall = gap.heel - gap.toe;
  const crossings = [-limits.snugLimit, limits.snugLimit, limits.gapLimit]
    .map((limit) => (limit - gap.toe) / fall)
    .filter((share) => share > 0 && share < 1);
  const stops = [0, ...crossings.sort((a, b) => a - b), 1];
  return stops.slice(1).map((to, i): JointBand => {
    const from = stops[i]!;
    return {
      joint: joint.name,
      state: jointState(gap.toe + (fall * (from + to)) / 2, limits),
      corners: [ends.first(from), ends.first(to), ends.mate(to), ends.mate(from)],
    };
  });
}

/** Points on both faces at a share of the way from toe to heel, along the part where the faces lie side by side as drawn. */
function facing(
  { toe, heel }: Pick<Joint, "toe" | "heel">,
  { first, mate }: { readonly first: Edge; readonly mate: Edge },
): Record<"first" | "mate", (share: number) => Vec> {
  const along = scale(sub(heel, toe), 1 / Math.hypot(heel.x - toe.x, heel.y - toe.y));
  const spans = [first, mate].map(({ from, to }) => [dot(along, from), dot(along, to)].sort((a, b) => a - b));
  const low = Math.max(spans[0]![0]!, spans[1]![0]!);
  const high = Math.max(low, Math.min(spans[0]![1]!, spans[1]![1]!));
  const on = ({ from, to }: Edge) => {
    const start = dot(along, from);
    const run = dot(along, to) - start;
    return (share: number): Vec =>
      add(from, scale(sub(to, from), (low + share * (high - low) - start) / run));
  };
  return { first: on(first), mate: on(mate) };
}

/** Target width of the widest gap in the drawing, as a share of the strip's thickness. */
const WANTED_SHARE = 0.5;
/** A widest gap below this many times the closing limit is magnified as if it had that size, so that a closed cell does not look open. */
const LEAST_WORST = 1.5;
/** No end of a cut is drawn further from its nominal place than this many strip thicknesses. */
const MOST_MOVE = 2;
const NICE = [1, 10, 100, 1000].flatMap((ten) => [1, 2, 5].map((step) => step * ten));

interface MagnificationInput {
  /** Strip thickness, mm. */
  readonly strip: number;
  /** Widest gap or deepest press, mm, ≥ 0. */
  readonly worst: number;
  /** What counts as closed, mm. */
  readonly snugLimit: number;
  /** The outline of the cell with its movements multiplied by the given magnification. */
  readonly outlineAt: (magnification: number) => CellOutline;
}

/**
 * The magnification of movements, a ratio: 1, 2 or 5 times a power of ten, so that the widest gap is drawn about half a strip wide.
 * It is smaller if a piece would fold over or leave the drawing, and never below 1.
 */
export function niceMagnification({ strip, worst, snugLimit, outlineAt }: MagnificationInput): number {
  const target = (WANTED_SHARE * strip) / Math.max(worst, LEAST_WORST * snugLimit);
  const off = (nice: number): number => Math.abs(Math.log(nice / target));
  const wanted = NICE.reduce((best, nice) => (off(nice) < off(best) ? nice : best));
  const readable = (factor: number): boolean => {
    const { pieces, largestMove } = outlineAt(factor);
    return factor * largestMove <= MOST_MOVE * strip && pieces.every(({ corners }) => isConvex(corners));
  };
  return NICE.findLast((nice) => nice <= wanted && readable(nice)) ?? 1;
}

/** Whether the corners of all outlines are still in counter-clockwise order. */
function isConvex(corners: readonly Vec[]): boolean {
  const at = (i: number): Vec => corners[i % corners.length]!;
  return corners.every((a, i) => {
    const [b, c] = [at(i + 1), at(i + 2)];
    return (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x) > 0;
  });
}
