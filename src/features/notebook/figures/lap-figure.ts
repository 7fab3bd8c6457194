import { vec } from "../../../core/geometry.js";
import { PALETTE, SIZE } from "../../../render/style.js";
import { type Drawing, dashes, line, rect } from "../../../render/svg.js";
import { arrow, GRID, note, SKETCH_WIDTH, sketch } from "./sketch.js";

/**
 * A row of laps in one strip, each with its own error, placed against a stop or indexed from the lap before. Against a
 * stop a lap is off by its own error; indexed, by the sum of all errors up to it.
 *
 * @param errors each lap's own error, in units of one lap's standard deviation
 * @example
 * lapFigure("indexed", [1, 1]).description.includes("2.0") // true
 */
export function lapFigure(way: "stop" | "indexed", errors: readonly number[]): Drawing {
  const off = errors.map((error, i) =>
    way === "stop" ? error : errors.slice(0, i + 1).reduce((sum, one) => sum + one, 0),
  );
  const pitch = (SKETCH_WIDTH - 30) / (errors.length + 0.6);
  const scale = Math.min(11, (0.42 * pitch) / Math.max(1, ...off.map(Math.abs)));
  const meant = errors.map((_, i) => 14 + pitch * (i + 0.8));
  const [top, height, lap] = [44, 34, 16];
  const signed = (value: number): string => `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(1)}`;
  return sketch(
    {
      title: way === "stop" ? "Against a stop" : "Indexed",
      notes: [
        way === "stop"
          ? "Every lap is measured from the end of the strip: its error stays alone."
          : "Every lap is measured from the lap before it: errors add up.",
      ],
      description: `Laps with errors of their own of ${errors.map(signed).join(", ")}; they lie off their places by ${off.map(signed).join(", ")}.`,
    },
    138,
    rect(0, top, SKETCH_WIDTH, height, GRID),
    meant.map((x, i) => {
      const at = x + scale * (off[i] ?? 0);
      const from = way === "stop" ? 0 : i === 0 ? 0 : (meant[i - 1] ?? 0) + scale * (off[i - 1] ?? 0);
      const y = top - 10;
      return [
        rect(at - lap / 2, top, lap, height / 2, { fill: PALETTE.paper, stroke: PALETTE.woodEdge }),
        line(vec(x, top - 6), vec(x, top + height + 10), { stroke: PALETTE.quiet, ...dashes([3, 3]) }),
        way === "stop" ? "" : arrow(vec(from, y), vec(at, y), { color: PALETTE.computed }),
        note(signed(off[i] ?? 0), vec(x, top + height + 26), {
          anchor: "middle",
          color: PALETTE.attention,
          weight: "bold",
        }),
      ];
    }),
    way === "stop"
      ? meant.map((x, i) =>
          arrow(vec(0, top - 8 - 7 * (i % 4)), vec(x + scale * (off[i] ?? 0), top - 8 - 7 * (i % 4)), {
            color: PALETTE.computed,
          }),
        )
      : "",
    note("off its place, in units of one lap's error", vec(0, top + height + 48), {
      color: PALETTE.quiet,
      size: SIZE.small,
    }),
  );
}
