import { DEGREE, vec } from "../../../core/geometry.js";
import { PALETTE, SIZE } from "../../../render/style.js";
import { type Drawing, dashes, label, line, polygon, rect } from "../../../render/svg.js";
import {
  ACTUAL,
  angleMark,
  arrow,
  GRID,
  NOMINAL,
  note,
  SKETCH_WIDTH,
  sketch,
  spring,
  WOOD,
} from "./sketch.js";

/**
 * One face of a cut, as it should be and as it is: the angle J of the ramp, its error δ, the error e of the length, a
 * place y from the middle line, and how far the face stands outside its proper place there, h. Errors are drawn large.
 *
 * @example
 * faceFigure().svg.startsWith("<svg") // true
 */
export function faceFigure(): Drawing {
  const angle = 45 * DEGREE;
  const [delta, e, half] = [5 * DEGREE, 52, 120];
  const tip = vec(220, 146);
  const shoulder = (turn: number, shift: number) =>
    vec(tip.x + shift - half * Math.tan(angle + turn), tip.y - half);
  const moved = vec(tip.x + e, tip.y);
  const [proper, actual] = [shoulder(0, 0), shoulder(delta, e)];
  const y = 0.45 * half;
  const at = vec(tip.x - y * Math.tan(angle), tip.y - y);
  const h =
    (Math.cos(angle + delta) * (e + y * Math.tan(angle)) - y * Math.sin(angle + delta)) / Math.cos(delta);
  const out = vec(at.x + h * Math.cos(angle), at.y - h * Math.sin(angle));
  const up = -Math.PI / 2;
  return sketch(
    {
      title: "One face: J, δ, e, y and h",
      notes: ["The upper half of a point. Errors are drawn much larger than they are."],
      description: `A face cut at J = ${(angle / DEGREE).toFixed(1)}° from square. The ramp's error δ turns it, the length's error e shifts it along the piece; h is how far it stands outside its proper place at the distance y from the middle line.`,
    },
    184,
    polygon([vec(4, tip.y - half), actual, moved, vec(4, tip.y)], WOOD),
    line(vec(4, tip.y), vec(SKETCH_WIDTH, tip.y), { stroke: PALETTE.quiet, ...dashes([10, 3, 2, 3]) }),
    line(proper, tip, NOMINAL),
    line(actual, moved, ACTUAL),
    line(tip, vec(tip.x, tip.y - half), { stroke: PALETTE.quiet, ...dashes([2, 3]) }),
    angleMark(tip, 58, up, up - angle, ""),
    note("J", vec(tip.x - 16, tip.y - 36), { color: PALETTE.computed, anchor: "middle" }),
    angleMark(moved, 124, up - angle, up - angle - delta, ""),
    line(moved, vec(moved.x - half * Math.tan(angle), tip.y - half), {
      stroke: PALETTE.quiet,
      ...dashes([2, 3]),
    }),
    note(
      "δ",
      vec(moved.x - 136 * Math.sin(angle + delta / 2) + 3, tip.y - 136 * Math.cos(angle + delta / 2) + 2),
      {
        color: PALETTE.computed,
        anchor: "middle",
      },
    ),
    arrow(vec(at.x - 26, tip.y), vec(at.x - 26, at.y), { both: true }),
    note("y", vec(at.x - 32, tip.y - y / 2 + 4), { anchor: "end" }),
    line(vec(at.x - 30, at.y), at, { stroke: PALETTE.ink, "stroke-width": 0.75 }),
    arrow(vec(tip.x, tip.y + 14), vec(moved.x, tip.y + 14), { both: true }),
    note("e", vec((tip.x + moved.x) / 2, tip.y + 30), { anchor: "middle" }),
    arrow(at, out, { color: PALETTE.attention }),
    note("h", vec(out.x + 7, out.y - 4), { color: PALETTE.attention, weight: "bold" }),
    note("middle line", vec(8, tip.y + 16), { color: PALETTE.quiet, size: SIZE.small }),
    note("shoulder", vec(Math.max(8, actual.x - 20), tip.y - half - 7), {
      color: PALETTE.quiet,
      size: SIZE.small,
    }),
  );
}

/**
 * A point in a square corner whose two faces are off by an angle: a sharp one stands open at its heels, a blunt one at
 * its toe. The error is drawn large.
 *
 * @example
 * pointFigure("blunt").title // "A blunt point: open at the toe"
 */
export function pointFigure(kind: "sharp" | "blunt"): Drawing {
  const sharp = kind === "sharp";
  const delta = (sharp ? 9 : -9) * DEGREE;
  const [corner, half] = [vec(262, 116), 62];
  const reach = (angle: number): number => half * Math.tan(angle);
  // A sharp point goes in until its tip is home, a blunt one until its shoulders touch.
  const back = sharp ? 0 : reach(45 * DEGREE) - reach(45 * DEGREE + delta);
  const tip = vec(corner.x - back, corner.y);
  const shoulder = tip.x - reach(45 * DEGREE + delta);
  const outline = [
    vec(6, corner.y - half),
    vec(shoulder, corner.y - half),
    tip,
    vec(shoulder, corner.y + half),
    vec(6, corner.y + half),
  ];
  const arm = 84;
  const walls = [-1, 1].map((side) =>
    polygon(
      [
        corner,
        vec(corner.x - arm, corner.y + side * arm),
        vec(corner.x - arm + 26, corner.y + side * (arm + 26)),
        vec(corner.x + 37, corner.y),
      ],
      GRID,
    ),
  );
  const found = sharp ? vec(corner.x - 47, corner.y - 57) : vec(corner.x - back / 2, corner.y);
  const says = vec(sharp ? 120 : 304, sharp ? 22 : 60);
  return sketch(
    {
      title: sharp ? "A sharp point: open at the heels" : "A blunt point: open at the toe",
      notes: [
        sharp
          ? "The tip arrives first. Nothing holds the piece off."
          : "The shoulders arrive first. The piece acts as one that is too long.",
      ],
      description: `A point of 90° in a corner of 90°, ${sharp ? "sharper" : "blunter"} than it should be: its ${sharp ? "tip touches and both heels are open" : "shoulders touch and its toe is open"}.`,
    },
    2 * corner.y,
    walls,
    polygon(outline, WOOD),
    line(vec(6, corner.y), vec(tip.x, corner.y), { stroke: PALETTE.quiet, ...dashes([10, 3, 2, 3]) }),
    note("toe", vec(sharp ? 214 : 206, corner.y - 8), { anchor: "middle" }),
    note("heel", vec(shoulder - 22, corner.y - half + 18), { anchor: "middle" }),
    note("heel", vec(shoulder - 22, corner.y + half - 8), { anchor: "middle" }),
    arrow(vec(says.x, says.y + 5), found, { color: PALETTE.attention }),
    label("gap", vec(says.x, says.y), { color: PALETTE.attention, weight: "bold", anchor: "middle" }),
  );
}

/**
 * A piece between two walls, each joint a spring: as it would lie with one end held in place, and where it comes to
 * rest. Equal springs share the error in equal parts.
 *
 * @example
 * settlingFigure("long").title // "Too long: both joints are pressed"
 */
export function settlingFigure(kind: "long" | "short"): Drawing {
  const long = kind === "long";
  const e = long ? 40 : -40;
  const [left, right, height] = [46, SKETCH_WIDTH - 46, 44];
  const color = long ? PALETTE.computed : PALETTE.attention;
  const row = (top: number, shift: number, text: string) => {
    const [from, to] = [left + shift, right + e + shift];
    const middle = top + height / 2;
    const joint = (wall: number, end: number, outward: 1 | -1) => {
      const off = (wall - end) * outward;
      if (Math.abs(off) < 1) return "";
      const word = `${off > 0 ? "gap" : "press"} ${Math.abs(off) === Math.abs(e) ? "e" : "e/2"}`;
      const near = vec(wall - outward * 58, top - 7);
      return [
        off < 0
          ? polygon([vec(wall, top), vec(end, top), vec(end, top + height), vec(wall, top + height)], {
              fill: color,
              opacity: 0.45,
            })
          : "",
        spring(vec(wall, middle), vec(off < 0 ? wall + outward * 34 : end, middle), color),
        note(word, near, { color, anchor: "middle", weight: "bold" }),
      ];
    };
    return [
      rect(0, top - 16, left, height + 32, GRID),
      rect(right, top - 16, SKETCH_WIDTH - right, height + 32, GRID),
      rect(from, top, to - from, height, WOOD),
      joint(left, from, -1),
      joint(right, to, 1),
      note(text, vec(SKETCH_WIDTH / 2, middle + 4), { anchor: "middle" }),
    ];
  };
  return sketch(
    {
      title: long ? "Too long: both joints are pressed" : "Too short: both joints are open",
      notes: [
        long
          ? "A press pushes the piece back: it comes to rest where both springs push alike."
          : "A gap hardly holds a piece. Where nothing else decides, the two ends share it.",
      ],
      description: `A piece between two walls is ${long ? "longer" : "shorter"} than its opening by e. Held at one end, the other has it all; at rest each joint has half.`,
    },
    206,
    row(26, 0, "one end in place"),
    row(136, -e / 2, "at rest"),
  );
}
