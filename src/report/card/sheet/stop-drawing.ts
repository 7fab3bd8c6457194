import { polygonOf } from "../../../geometry/polygon.js";
import { type Vec, vec } from "../../../geometry/vector.js";
import type { Cut, Piece } from "../../../lattice/arrangement.js";
import { facePlane, pieceFaces } from "../../../lattice/piece-faces.js";
import { DRAWING_WIDTH, type DrawingScale, STOP_FACE } from "./drawing-scale.js";
import { arrow, dimension, drawing, line, outline, textRoom } from "./svg.js";

/** A stop as it is to be set, with the piece that lies against it; mm. */
export interface StopPicture {
  readonly setUp: string;
  readonly strip: number;
  readonly piece: Piece;
  /** A cut that is made at this stop; those of its group are made with it. */
  readonly cut: Cut;
  /** From the tip at the stop to where the cut crosses the middle line, as the shop writes it. */
  readonly settingText: string;
  /** Move of the stop, longer +; 0 when it stays. */
  readonly change: number;
  readonly changeText: string;
}

/** mm of paper. */
const MIDDLE = 4.2;
const HALF_BLOCK = 2.6;
const ROW = 3.4;
/** Sides stand before cuts among a piece's faces. */
const SIDES = 2;
/** A corner lies on a face's line to this, mm. */
const ON_LINE = 1e-9;

/** The piece with its tip against the stop, the cut in bold, the setting beneath, and which way the stop moves. */
export function stopDrawing(picture: StopPicture, { length, move }: DrawingScale): string {
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
  const [top, bottom] = [MIDDLE - HALF_BLOCK, MIDDLE + HALF_BLOCK];
  const moved = STOP_FACE - change * move;
  // The setting is written beside a short piece, under a long one.
  const beside = crossing.x + 2 + textRoom(picture.settingText) < DRAWING_WIDTH;
  const row = beside ? MIDDLE + ROW - 0.6 : MIDDLE + ROW + 1.6;
  return drawing(
    DRAWING_WIDTH,
    row + 1.1,
    describe(picture),
    [
      outline("bar", [
        vec(STOP_FACE - 2.2, top),
        vec(STOP_FACE, top),
        vec(STOP_FACE, bottom),
        vec(STOP_FACE - 2.2, bottom),
      ]),
      outline("strip", corners.map(place)),
      line("dashed", vec(STOP_FACE, MIDDLE), vec(crossing.x + 1.5, MIDDLE)),
      ...cutEdges.flatMap(([from, to]) => [line("cut", from, to), line("dashed", from, crossing)]),
      change === 0 ? "" : line("ghost", vec(moved, top - 1.4), vec(moved, bottom)),
      change === 0 ? "" : line("thin", vec(STOP_FACE, top - 1.4), vec(STOP_FACE, top)),
      change === 0 ? "" : arrow(vec(STOP_FACE, top - 0.8), vec(moved, top - 0.8)),
      dimension(vec(STOP_FACE, row), vec(crossing.x, row), picture.settingText, beside ? "after" : "on"),
    ].join(""),
  );
}

function describe({ setUp, settingText, change, changeText }: StopPicture): string {
  const move = change === 0 ? "It stays" : `It moves ${change > 0 ? "longer" : "shorter"} by ${changeText}`;
  return `Stop of ${setUp}, ${settingText} from the piece's tip to where the cut crosses its middle line. ${move}.`;
}
