import { type BenchName, benchNamed } from "../../../src/model/cell/benches.js";
import type { Cell, Order } from "../../../src/model/cell/cell.js";
import { type AsCut, asCutErrors } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { PRESS_RATIO } from "../../../src/physics/seating/seating-model.js";
import { DEGREE, jointGaps, ORDERS, squareCell } from "./cells.js";
import { type Check, compareRows, type Row } from "./check.js";

const SOURCE = { document: "closed forms", place: "by hand", kind: "closed form" } as const;
const STRIP = 3;
/** Of the larger end of a joint: K/(K + 1) of a slope shows at it, 1/(K + 1) at the other. */
const SHARE = PRESS_RATIO / (PRESS_RATIO + 1);
/** mm. */
const EXACT = 1e-10;
const COS45 = Math.SQRT1_2;
const DELTA = 0.5 * DEGREE;

const bench = (name: BenchName, degrees: number): Cell =>
  compileCell(benchNamed(name, { strip: STRIP, jigAngle: degrees * DEGREE }));
const slopeOf = (delta: number, order: Order): number => (order === "first" ? delta : Math.tan(delta));
const cutBoth = (angle: number) => ({ "start-left": { angle }, "start-right": { angle } });

function gapAt(cell: Cell, asCut: AsCut, place: string, order: Order): number {
  return jointGaps(cell, asCutErrors(cell, asCut), { order }).get(place) ?? Number.NaN;
}

/** Benches and the diagonal, where the gaps can be worked out with a pencil. */
export function checks(): Check[] {
  return compareRows("closed-form", SOURCE, [
    ...corner("corner-90", 45),
    ...corner("corner-45", 67.5),
    ...straightedge(22.5),
    ...straightedge(67.5),
    ...mitrePair(),
    ...diagonal(),
  ]);
}

/** A point pressed home in its corner slides along its axis alone: a slope of δ over the length w of each face is shared K : 1 between heel and toe. */
function corner(name: BenchName, degrees: number): Row[] {
  const cell = bench(name, degrees);
  const w = STRIP / 2 / Math.cos(degrees * DEGREE);
  const joint = cell.joints[0]!.name;
  const rows = ORDERS.flatMap((order): Row[] => {
    const at = (angle: number, end: string) =>
      gapAt(cell, { pieces: { point: { cuts: cutBoth(angle) } } }, `${joint} ${end}`, order);
    const open = w * slopeOf(DELTA, order);
    const what = `of a point cut at ${degrees}°, ${order} order, mm`;
    return [
      [`${name}-sharp-${order}`, `heel ${what}: 0.5° too sharp`, open * SHARE, at(DELTA, "heel"), EXACT],
      [
        `${name}-sharp-toe-${order}`,
        `toe ${what}: 0.5° too sharp`,
        -open / (PRESS_RATIO + 1),
        at(DELTA, "toe"),
        EXACT,
      ],
      [`${name}-blunt-${order}`, `toe ${what}: 0.5° too blunt`, open * SHARE, at(-DELTA, "toe"), EXACT],
    ];
  });
  return [...rows, energyRow(name, cell, w)];
}

/** ½ Σ (w/2)·k·g² over both faces, K at the toe: (w/2)·(w·δ)²·K/(K + 1). */
function energyRow(name: BenchName, cell: Cell, w: number): Row {
  const { seating, readProbes } = cellModel(cell);
  const gaps = jointGaps(cell, asCutErrors(cell, { pieces: { point: { cuts: cutBoth(DELTA) } } }), {
    order: "first",
  });
  const energy = [...gaps.values()]
    .slice(0, readProbes)
    .reduce((sum, g, i) => sum + (seating.weight[i]! / 2) * (g < 0 ? PRESS_RATIO : 1) * g * g, 0);
  const known = (w / 2) * (w * DELTA) ** 2 * SHARE;
  return [`${name}-energy`, `energy of that sharp point, first order, mm³`, known, energy, 1e-9 * known];
}

/**
 * A bevel of length w off by δ, its side held by a fence of length ℓ. Each joint shares its slope 1 : K and so resists a turn with the cube of its length: the piece
 * turns by δ·w³/(w³ + ℓ³), and the bevel shows the rest.
 */
function straightedge(degrees: number): Row[] {
  const cell = bench("straightedge", degrees);
  const w = STRIP / Math.cos(degrees * DEGREE);
  const fence = lengthOf(cell, "bevel.right|fence");
  const shown = (w * DELTA * fence ** 3) / (w ** 3 + fence ** 3);
  return [1, -1].map((sign): Row => {
    const asCut = { pieces: { bevel: { cuts: { "end-left": { angle: sign * DELTA } } } } };
    const end = sign > 0 ? "heel" : "toe";
    return [
      `straightedge-${degrees}-${end}`,
      `${end} of a bevel of ${degrees}°, 0.5° too ${sign > 0 ? "steep" : "flat"}, side against a fence, first order, mm`,
      shown * SHARE,
      gapAt(cell, asCut, `bevel.end-left|straightedge ${end}`, "first"),
      EXACT,
    ];
  });
}

/** Two mitres off by δ each meet with 2δ between them; each fence gives way by as much as on the straightedge. */
function mitrePair(): Row[] {
  const cell = bench("mitre-pair", 22.5);
  const { name, length: w } = cell.joints.find((joint) => /^hinge-.*\|hinge-/.test(joint.name))!;
  const fence = lengthOf(cell, "hinge-a.right|fence-a");
  const pieces = {
    "hinge-a": { cuts: { "end-right": { angle: DELTA } } },
    "hinge-b": { cuts: { "end-left": { angle: DELTA } } },
  };
  const shown = (2 * w * DELTA * fence ** 3) / (2 * w ** 3 + fence ** 3);
  return [
    [
      "mitre-pair",
      "heel of two mitres of 22.5°, each 0.5° too steep, first order, mm",
      shown * SHARE,
      gapAt(cell, { pieces }, `${name} heel`, "first"),
      EXACT,
    ],
  ];
}

/** A diagonal that is short by s lies midway: (s/2)·cos 45° at every face of both points. */
function diagonal(): Row[] {
  const cell = squareCell(60, STRIP);
  return [0.3, -0.1].flatMap((short) =>
    ORDERS.flatMap((order): Row[] => {
      const end = { axial: -short };
      const asCut = { pieces: { diagonal: { cuts: { "end-left": end, "end-right": end } } } };
      return ["diagonal.start-left|wall-left heel", "diagonal.end-right|wall-right toe"].map(
        (place): Row => [
          `diagonal-${short}-${order}-${place.slice(9, 12)}`,
          `${place}: diagonal ${short > 0 ? "short" : "long"} by ${Math.abs(short)} mm, ${order} order, mm`,
          (short / 2) * COS45,
          gapAt(cell, asCut, place, order),
          EXACT,
        ],
      );
    }),
  );
}

const lengthOf = (cell: Cell, joint: string): number =>
  cell.joints.find(({ name }) => name === joint)!.length;
