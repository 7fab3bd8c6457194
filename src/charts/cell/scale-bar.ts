import type { AxisUnit } from "../axis-unit.js";
import type { Layer } from "../chart-spec.js";
import { lines, px, texts } from "../marks.js";
import { PALETTE, SIZE, STROKE } from "../style.js";
import { textWidth } from "../text-layout.js";
import { BAR_ROOM, type View } from "./view.js";

/** The bar is the longest of these that takes up no more than this share of the width and leaves room for the words on its right. */
const SHARE = 0.3;
const MILLIMETRES = [1, 2, 5, 10, 20, 50, 100, 200].map((mm) => ({ mm, text: `${mm} mm` }));
const INCHES = ["1/16", "1/8", "1/4", "1/2", "1", "2", "4", "8"].map((text, i) => ({
  mm: 25.4 * 2 ** (i - 4),
  text: `${text} in`,
}));

/** For the bar's own label and blank around it, px. */
const LABEL_ROOM = 70;

/** Under the drawing: a length of the wood to compare with, and how much larger movements are drawn. */
export function scaleBar(view: View, unit: AxisUnit, magnification: number): Layer[] {
  const lengths = unit === "mm" ? MILLIMETRES : INCHES;
  const moves = `movements drawn × ${magnification}`;
  const left = view.width - textWidth(moves, SIZE.small, "bold") - LABEL_ROOM;
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
