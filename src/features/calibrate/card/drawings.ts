import {
  add,
  type HalfPlane,
  halfPlaneThrough,
  polygonOf,
  scale,
  type Vec,
  vec,
} from "../../../core/geometry.js";
import type { Cut, Piece } from "../../../model/cell/arrangement.js";
import { facePlane, pieceFaces } from "../../../model/cell/cell.js";
import { element, type Html, markup } from "../../../render/html.js";
import { circle, line, polygon, svgDocument } from "../../../render/svg.js";

/** The setting of a jig's ramp; mm and rad. */
export interface RampPicture {
  readonly jig: string;
  /** Angle on the label, from a square cut. */
  readonly ramp: number;
  readonly strip: number;
  /** Distance from the fixed end to the shim, mm; `null` for a locked ramp. */
  readonly base: number | null;
  /** Thicknesses of the leaves to push in, mm; empty for a ramp left as it is. */
  readonly leaves: readonly number[];
  /** Whether the leaves make the ramp steeper. */
  readonly steeper: boolean;
  /** The angle, the base and the leaves in the shop's notation. */
  readonly rampText: string;
  readonly baseText: string;
  readonly leavesText: string;
}

/** mm of paper. */
const SURFACE = 7.6;
const BAR = 1.5;
const BED = 4.6;
const LONGEST = 36;
const LOCKED_BAR = 36;
const HALF_SCALE = 0.5;

/**
 * The ramp on its bed with the blade's path along its top, the strip leaning against it, and the shim under the correct end.
 * Raising the end that the strip leans towards increases the angle from a square cut.
 *
 * @param leafScale magnification of the leaves, a ratio, and therefore of the ramp's rotation
 */
export function rampDrawing(picture: RampPicture, leafScale: number): Html {
  const { ramp, strip, base, leaves, steeper } = picture;
  const toPaper = base === null ? HALF_SCALE : Math.min(HALF_SCALE, LONGEST / base);
  const long = base === null ? LOCKED_BAR : base * toPaper;
  const left = (DRAWING_WIDTH - long) / 2;
  const raised = leaves.reduce((sum, leaf) => sum + leaf, 0) * toPaper * leafScale;
  const tilt = (steeper ? 1 : -1) * Math.atan2(raised, long);
  const shimmed = leaves.length > 0;
  const bed = SURFACE + BAR;
  const bottom = bed + BED;
  // The fixed end, and the top of the ramp: y points down on paper.
  const pivot = vec(steeper ? left : left + long, bed);
  const along = vec(Math.cos(tilt), -Math.sin(tilt));
  const up = vec(-Math.sin(tilt), -Math.cos(tilt));
  const barEnd = add(pivot, scale(along, steeper ? long : -long));
  const bar = [pivot, barEnd, add(barEnd, scale(up, BAR)), add(pivot, scale(up, BAR))];
  const crossing = add(add(pivot, scale(along, (steeper ? long : -long) / 2)), scale(up, BAR));
  const lean = vec(Math.sin(ramp), -Math.cos(ramp));
  const body = (above: boolean): Vec[] =>
    stripOutline({ crossing, ramp, tilt, half: (strip * toPaper) / 2, bottom }, above);
  const height = shimmed ? bottom + 4 : bottom + 0.3;
  return svgDocument({ title: describeRamp(picture), width: DRAWING_WIDTH, height, unit: "mm" }, [
    outline("bed", rectangle(0.5, bed, DRAWING_WIDTH - 0.5, bottom)),
    ...leafOutlines(leaves, toPaper * leafScale, steeper ? left + long : left, bed, steeper),
    outline("bar", bar),
    outline("strip", body(false)),
    outline("waste", body(true)),
    stroke("blade", add(crossing, scale(along, -9)), add(crossing, scale(along, 9))),
    stroke("dashed", crossing, add(crossing, scale(up, 6.8))),
    arc(crossing, up, lean, ramp),
    written(picture.rampText, angleLabel(crossing, ramp), "start"),
    shimmed ? leafLabel(picture.leavesText, steeper, barEnd, bed) : "",
    shimmed ? circle(vec(pivot.x, bed), 0.55, { class: "ink" }) : "",
    shimmed ? dimension(vec(left, bottom + 3.4), vec(left + long, bottom + 3.4), picture.baseText) : "",
  ]);
}

function describeRamp({ jig, rampText, leaves, leavesText, steeper }: RampPicture): string {
  const shim =
    leaves.length === 0
      ? "no shim"
      : `a shim of ${leavesText} under the end that the strip leans ${steeper ? "towards" : "away from"}`;
  return `Ramp of ${jig}, ${rampText} from a square cut, ${shim}.`;
}

const rectangle = (x: number, y: number, x2: number, y2: number): Vec[] => [
  vec(x, y),
  vec(x2, y),
  vec(x2, y2),
  vec(x, y2),
];

/** Leaves stacked between bed and ramp. */
function leafOutlines(
  leaves: readonly number[],
  magnified: number,
  end: number,
  bed: number,
  right: boolean,
): Html[] {
  let low = bed;
  return leaves.map((leaf) => {
    const top = low - leaf * magnified;
    const shape = rectangle(right ? end - 5 : end - 1.5, low, right ? end + 1.5 : end + 5, top);
    low = top;
    return outline("leaf", shape);
  });
}

/** Position of a label: under the raised end of the ramp on the right, above it on the left; the strip leans away from both places. */
const leafLabel = (text: string, steeper: boolean, end: Vec, bed: number): Html =>
  steeper
    ? written(text, vec(DRAWING_WIDTH - 1.2, bed + 3.2), "end")
    : written(text, vec(1, end.y - BAR - 0.8), "start");

interface Leaning {
  readonly crossing: Vec;
  readonly ramp: number;
  readonly tilt: number;
  readonly half: number;
  readonly bottom: number;
}

const WASTE = 5;

/** The strip below the blade's path, or the part above it. Computed with y upwards, as usual in geometry. */
function stripOutline({ crossing, ramp, tilt, half, bottom }: Leaning, above: boolean): Vec[] {
  const flip = ({ x, y }: Vec): Vec => vec(x, -y);
  const at = flip(crossing);
  const axis = Math.PI / 2 - ramp;
  const side = (turn: number) => {
    const normal = axis + turn;
    return halfPlaneThrough(normal, add(at, vec(half * Math.cos(normal), half * Math.sin(normal))));
  };
  const surface = halfPlaneThrough(tilt + (above ? -1 : 1) * (Math.PI / 2), at);
  const ends = above
    ? [halfPlaneThrough(axis, add(at, vec(WASTE * Math.cos(axis), WASTE * Math.sin(axis))))]
    : [halfPlaneThrough(-Math.PI / 2, vec(0, -bottom)), halfPlaneThrough(Math.PI, vec(0.5, 0))];
  return polygonOf([side(Math.PI / 2), side(-Math.PI / 2), surface, ...ends]).map(flip);
}

const ARC = 6;

function arc(centre: Vec, from: Vec, to: Vec, ramp: number): Html | string {
  const [a, b] = [add(centre, scale(from, ARC)), add(centre, scale(to, ARC))];
  const at = ({ x, y }: Vec): string => `${x.toFixed(2)} ${y.toFixed(2)}`;
  return ramp === 0 ? "" : element("path", { class: "thin", d: `M ${at(a)} A ${ARC} ${ARC} 0 0 1 ${at(b)}` });
}

/** Position after the end of the arc, clear of the part above the ramp. */
const angleLabel = (crossing: Vec, ramp: number): Vec =>
  add(crossing, vec((ARC + 0.6) * Math.sin(ramp) + 1.2, -(ARC + 0.6) * Math.cos(ramp) + 1.3));

/** The setting of a stop, with the piece that lies against it; mm. */
interface StopPicture {
  readonly setUp: string;
  readonly strip: number;
  readonly piece: Piece;
  /** A cut that is made at this stop; the other cuts of its group are made in the same way. */
  readonly cut: Cut;
  /** Distance from the tip at the stop to where the cut crosses the middle line, in the shop's notation. */
  readonly settingText: string;
  /** Move of the stop, mm, longer +; 0 if it stays. */
  readonly change: number;
  readonly changeText: string;
}

/** mm of paper. */
const MIDDLE = 4.2;
const HALF_BLOCK = 2.6;
const ROW = 3.4;
/** Number of side faces, which come before the cuts in a piece's list of faces. */
const SIDES = 2;
/** Tolerance for a corner to lie on a face's line, mm. */
const ON_LINE = 1e-9;

/** The piece with its tip against the stop, the cut in bold, the setting beneath, and the direction in which the stop moves. */
export function stopDrawing(picture: StopPicture, { length, move }: DrawingScale): Html {
  const { piece, cut, strip, change } = picture;
  const place = ({ x, y }: Vec): Vec =>
    vec(STOP_FACE + (piece.length / 2 + cut.end * x) * length, MIDDLE - y * length);
  const own = { ...piece, origin: vec(0, 0), axis: 0 };
  const planes = pieceFaces(own, 0, strip).map(facePlane);
  const corners = polygonOf(planes);
  const cutEdges = piece.cuts.flatMap((one, i) => {
    if (one.group !== cut.group) return [];
    const { normal, offset } = planes[SIDES + i]!;
    const ends = corners.filter(({ x, y }) => Math.abs(normal.x * x + normal.y * y - offset) < ON_LINE);
    return ends.length === 2 ? [[place(ends[0]!), place(ends[1]!)] as const] : [];
  });
  const crossing = place(vec(cut.end * cut.reach, 0));
  // An end with two cuts is drawn again at a larger scale, because on a long piece it would not be visible which of them is made here.
  const several = piece.cuts.some((one) => one.end === cut.end && one.group !== cut.group);
  const closeUp = several ? endCloseUp(picture, corners, planes) : "";
  const [top, bottom] = [MIDDLE - HALF_BLOCK, MIDDLE + HALF_BLOCK];
  const moved = STOP_FACE - change * move;
  // The setting is written beside a short piece and under a long one.
  const beside = !several && crossing.x + 2 + textRoom(picture.settingText) < DRAWING_WIDTH;
  const row = beside ? MIDDLE + ROW - 0.6 : MIDDLE + ROW + 1.6;
  return svgDocument({ title: describeStop(picture), width: DRAWING_WIDTH, height: row + 1.1, unit: "mm" }, [
    outline("bar", [
      vec(STOP_FACE - 2.2, top),
      vec(STOP_FACE, top),
      vec(STOP_FACE, bottom),
      vec(STOP_FACE - 2.2, bottom),
    ]),
    outline("strip", corners.map(place)),
    stroke("dashed", vec(STOP_FACE, MIDDLE), vec(crossing.x + 1.5, MIDDLE)),
    ...cutEdges.flatMap(([from, to]) => [stroke("cut", from, to), stroke("dashed", from, crossing)]),
    change === 0 ? "" : stroke("ghost", vec(moved, top - 1.4), vec(moved, bottom)),
    change === 0 ? "" : stroke("thin", vec(STOP_FACE, top - 1.4), vec(STOP_FACE, top)),
    change === 0 ? "" : arrow(vec(STOP_FACE, top - 0.8), vec(moved, top - 0.8)),
    closeUp,
    dimension(vec(STOP_FACE, row), vec(crossing.x, row), picture.settingText, beside ? "after" : "on"),
  ]);
}

/** mm of paper: thickness of the strip in a close-up, visible length of the piece, and distance from the right edge. */
const CLOSE_UP = { strip: 4.6, long: 4.4, fromRight: 0.6 } as const;

/** The end of a piece at a larger scale, with the set-up's cuts in bold and labelled. */
function endCloseUp(
  { piece, cut, strip }: StopPicture,
  corners: readonly Vec[],
  planes: readonly HalfPlane[],
): Html {
  const scaled = CLOSE_UP.strip / strip;
  const right = DRAWING_WIDTH - CLOSE_UP.fromRight;
  const tip = Math.max(...corners.map(({ x }) => cut.end * x));
  const place = ({ x, y }: Vec): Vec => vec(right - (tip - cut.end * x) * scaled, MIDDLE - y * scaled);
  const back = halfPlaneThrough(
    cut.end === 1 ? Math.PI : 0,
    vec(cut.end * (tip - CLOSE_UP.long / scaled), 0),
  );
  const shape = polygonOf([...planes, back]);
  const edges = piece.cuts.flatMap((one, i) => {
    const plane = planes[SIDES + i];
    if (one.group !== cut.group || one.end !== cut.end || !plane) return [];
    const ends = shape.filter(
      ({ x, y }) => Math.abs(plane.normal.x * x + plane.normal.y * y - plane.offset) < ON_LINE,
    );
    const [from, to] = ends.map(place);
    return from && to ? [stroke("cut", from, to)] : [];
  });
  const left = right - CLOSE_UP.long;
  const words = written(cut.role, vec(left - 0.8, MIDDLE + 0.9), "end");
  return markup(outline("strip", shape.map(place)), edges, words);
}

function describeStop({ setUp, settingText, change, changeText }: StopPicture): string {
  const move = change === 0 ? "It stays" : `It moves ${change > 0 ? "longer" : "shorter"} by ${changeText}`;
  return `Stop of ${setUp}, ${settingText} from the piece's tip to where the cut crosses its middle line. ${move}.`;
}

/** A straight line, and a closed outline, of a class of the sheet's style. */
const stroke = (kind: string, from: Vec, to: Vec): Html => line(from, to, { class: kind });
const outline = (kind: string, corners: readonly Vec[]): Html => polygon(corners, { class: kind });

/** Text positioned by its baseline, in the size given by the sheet's style. */
const written = (text: string, { x, y }: Vec, anchor: "start" | "middle" | "end" = "start"): Html =>
  element("text", { x, y, "text-anchor": anchor }, text);

/** An arrow whose tip is at `to`; nothing if its length is 0. */
function arrow(from: Vec, to: Vec): Html | string {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  if (length === 0) return "";
  const [ux, uy] = [(to.x - from.x) / length, (to.y - from.y) / length];
  const head = Math.min(1.6, length);
  const base = { x: to.x - head * ux, y: to.y - head * uy };
  const wing = (side: number): Vec => ({ x: base.x - side * 0.6 * uy, y: base.y + side * 0.6 * ux });
  return markup(stroke("move", from, base), outline("head", [to, wing(1), wing(-1)]));
}

/** Maximum width of a letter in a drawing's text, mm of paper. */
const LETTER = 1.6;

/** Upper estimate of the width of a text in a drawing, mm of paper. */
const textRoom = (text: string): number => [...text].length * LETTER;

/** A dimension line between two points with a tick at either end; its length is written on it, or after it if there is no room. */
function dimension(from: Vec, to: Vec, text: string, place: "on" | "after" = "on"): Html {
  const tick = (at: Vec): Html => stroke("thin", { x: at.x, y: at.y - 0.9 }, { x: at.x, y: at.y + 0.9 });
  const words =
    place === "on"
      ? written(text, { x: (from.x + to.x) / 2, y: from.y - 0.6 }, "middle")
      : written(text, { x: to.x + 1, y: to.y + 0.85 });
  return markup(stroke("thin", from, to), tick(from), tick(to), words);
}

/** Width of every drawing on the sheet, mm of paper. */
export const DRAWING_WIDTH = 46;
/** Position of a stop's face in its drawing, with room for its move on the left, mm of paper. */
export const STOP_FACE = 8.6;

/** mm of paper. */
const LONGEST_PIECE = DRAWING_WIDTH - STOP_FACE - 2;
const LARGEST_MOVE = 5;
const THICKEST_SHIM = 2.2;
/** Maximum scale: mm of paper per mm of ramp. */
const RAMP = 0.5;

/** The scales of the drawings of one sheet, the same for all jigs. */
export interface DrawingScale {
  /** mm of paper per mm along a piece. */
  readonly length: number;
  /** mm of paper per mm of a stop's move; a round multiple of `length`. */
  readonly move: number;
  /** Magnification of the moves of stops and the leaves under ramps, a ratio to the scale of pieces and ramps. */
  readonly moveMagnified: number;
  readonly leafMagnified: number;
}

/**
 * The scale at which the longest piece, the largest move and the thickest shim fit.
 *
 * @param longest longest setting of a stop, mm; `moves` of stops and thicknesses of `shims`, mm
 */
export function drawingScale(
  longest: number,
  moves: readonly number[],
  shims: readonly number[],
): DrawingScale {
  const length = LONGEST_PIECE / longest;
  const moveMagnified = roundFactor(LARGEST_MOVE / length, moves);
  return {
    length,
    moveMagnified,
    move: length * moveMagnified,
    leafMagnified: roundFactor(THICKEST_SHIM / RAMP, shims),
  };
}

/** The largest round factor with which the largest value does not exceed `room`; at least 1. */
function roundFactor(room: number, values: readonly number[]): number {
  const largest = Math.max(...values.map(Math.abs), 0);
  if (largest === 0) return 1;
  const most = room / largest;
  const decade = 10 ** Math.floor(Math.log10(most));
  const factor = [8, 6, 5, 4, 3, 2, 1]
    .map((step) => step * decade)
    .find((value) => value <= most * (1 + 1e-12));
  return Math.max(1, Number((factor ?? 1).toPrecision(1)));
}
