import type { Layer } from "../chart-spec.js";
import { px, texts } from "../marks.js";
import { PALETTE, SIZE } from "../style.js";
import { textWidth } from "../text-layout.js";
import { middleOf } from "./clip-polygon.js";

interface Point {
  readonly x: number;
  readonly y: number;
}

/** A name is written on its piece where the piece is this much wider than the letters are high, and long enough. */
const ROOM = 1.15;

/** Steeper than this, degrees clockwise, a name is read upwards, so that names along upright walls all run one way. */
const STEEPEST = 85;

/** The names of pieces and walls along them, upright enough to read. */
export function nameLabels(
  shapes: readonly { readonly name: string; readonly corners: readonly Point[] }[],
): Layer[] {
  const rows = shapes.flatMap(({ name, corners }) => {
    const { length, turn } = longestEdge(corners);
    const middle = middleOf(corners);
    const thick = Math.abs(area(corners)) / length;
    if (name.includes(" ") || thick < ROOM * SIZE.tiny || length < textWidth(name, SIZE.tiny) + 12) return [];
    return [{ x: px(middle.x), y: px(middle.y), text: name, angle: px(turn) }];
  });
  return texts(rows, { align: "center", size: SIZE.tiny, color: PALETTE.quiet });
}

function longestEdge(corners: readonly Point[]): { length: number; turn: number } {
  const edges = corners.map((a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    return { x: b.x - a.x, y: b.y - a.y, length: Math.hypot(b.x - a.x, b.y - a.y) };
  });
  const { x, y, length } = edges.reduce((best, edge) => (edge.length > best.length ? edge : best));
  const turn = (Math.atan2(y, x) * 180) / Math.PI;
  return { length, turn: turn > STEEPEST ? turn - 180 : turn <= STEEPEST - 180 ? turn + 180 : turn };
}

const area = (corners: readonly Point[]): number =>
  corners.reduce((sum, a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    return sum + a.x * b.y - a.y * b.x;
  }, 0) / 2;
