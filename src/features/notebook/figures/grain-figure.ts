import { DEGREE, vec } from "../../../core/geometry.js";
import { element } from "../../../render/html.js";
import { PALETTE } from "../../../render/style.js";
import { type Drawing, group, rect } from "../../../render/svg.js";
import { arrow, note, SKETCH_WIDTH, sketch, WOOD } from "./sketch.js";

/**
 * The end of a strip with its growth rings, as cut and after it has dried: it shrinks most along the rings. The change
 * is drawn large.
 *
 * @param rings angle between the strip's thickness and the direction square to the rings, rad: 0 where the thickness is radial, 90° where it is tangential
 * @param radial change of size square to the rings, ≥ 0, as a share for each share of moisture
 * @param tangential change of size along the rings, ≥ 0
 * @example
 * grainFigure(0, 0.0015, 0.0026).title // "Rings radial: moves little"
 */
export function grainFigure(rings: number, radial: number, tangential: number): Drawing {
  const radially = rings < 45 * DEGREE;
  const movement = (angle: number): number =>
    radial * Math.cos(angle) ** 2 + tangential * Math.sin(angle) ** 2;
  const times = 0.22 / Math.max(radial, tangential);
  const [wide, tall] = [120, 150];
  const centre = vec(SKETCH_WIDTH / 2, 92);
  const dry = {
    wide: wide * (1 - times * movement(rings)),
    tall: tall * (1 - times * movement(rings + 90 * DEGREE)),
  };
  const clip = `grain-${Math.round(rings / DEGREE)}`;
  const [left, top] = [centre.x - dry.wide / 2, centre.y - dry.tall / 2];
  // The pith lies far to one side: along the thickness where that is radial.
  const pith = { x: centre.x - 260 * Math.cos(rings), y: centre.y + 260 * Math.sin(rings) };
  const arcs = Array.from({ length: 24 }, (_, i) =>
    element("circle", {
      cx: pith.x,
      cy: pith.y,
      r: 150 + 10 * i,
      fill: "none",
      stroke: PALETTE.woodEdge,
      "stroke-width": 1,
    }),
  );
  return sketch(
    {
      title: radially ? "Rings radial: moves little" : "Rings tangential: moves most",
      notes: ["The end of a strip, its thickness across. Dashed: as cut. Wood: after drying, drawn large."],
      description: `A strip whose thickness is ${radially ? "square to" : "along"} the growth rings changes it by ${(1000 * movement(rings)).toFixed(1)} thousandths for each per cent of moisture.`,
    },
    196,
    element("clipPath", { id: clip }, rect(left, top, dry.wide, dry.tall, {})),
    rect(left, top, dry.wide, dry.tall, WOOD),
    group({ "clip-path": `url(#${clip})` }, arcs),
    rect(centre.x - wide / 2, centre.y - tall / 2, wide, tall, {
      fill: "none",
      stroke: PALETTE.quiet,
      "stroke-width": 1.5,
      "stroke-dasharray": "5 4",
    }),
    arrow(vec(left, 188), vec(left + dry.wide, 188), { both: true, color: PALETTE.attention }),
    note("thickness", vec(centre.x + wide / 2 + 10, 192), { color: PALETTE.attention }),
  );
}
