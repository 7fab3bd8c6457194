import { quantityText } from "../axis-unit.js";
import type { Layer } from "../chart-spec.js";
import { lines, px, symbols, texts } from "../marks.js";
import { JOINT_STYLE, PALETTE, SIZE, STROKE } from "../style.js";
import { textWidth } from "../text-layout.js";
import type { CellPanelInput, CellPanelOptions } from "./cell-panel.js";
import { placeLabel, rectangle } from "./label-place.js";
import { BAR_ROOM, type View } from "./view.js";

/** Side of the square a ring stands in, px. */
const RING = 10;

/** The widest gap and the deepest press with their sizes, each beside its joint with a line to it; what is closed has none. */
export function gapLabels(
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
