import type { Panel } from "./chart-spec.js";
import { texts } from "./marks.js";
import { SIZE } from "./style.js";
import { wrapped } from "./text-layout.js";

/** px for each line. */
const LINE = 15;

/** The title of an upright axis, lying above its plot and broken where it is wider than `room`, px. */
export function headingPanel(title: string, room: number): Panel {
  const heading = wrapped(title, room, SIZE.small);
  return {
    width: room,
    height: LINE * heading.length,
    layer: texts(
      heading.map((text, i) => ({ x: 0, y: LINE * (i + 1) - 4, text })),
      { size: SIZE.small },
    ),
  };
}
