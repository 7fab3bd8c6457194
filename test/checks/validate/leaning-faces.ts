import { type BenchName, benchNamed } from "../../../src/model/cell/benches.js";
import type { Cell, Order } from "../../../src/model/cell/cell.js";
import { type AsCut, asCutErrors } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { PRESS_RATIO } from "../../../src/physics/seating/seating-model.js";
import { DEGREE, deepSquare, ORDERS } from "./cells.js";
import { type Check, compareRows, type Row } from "./check.js";

const SOURCE = { document: "closed forms", place: "by hand", kind: "closed form" } as const;
const STRIP = 3;
const DEPTH = 12;
const LEAN = 0.3 * DEGREE;
/** mm. */
const EXACT = 1e-10;
/** Where a piece gives way, its face is pressed at one side by 1/(K + 1) of λ·d and open at the other by the rest. */
const PRESSED = (-LEAN * DEPTH) / (PRESS_RATIO + 1);
const OPEN = (LEAN * DEPTH * PRESS_RATIO) / (PRESS_RATIO + 1);

const bench = (name: BenchName, degrees: number): Cell =>
  compileCell({ ...benchNamed(name, { strip: STRIP, jigAngle: degrees * DEGREE }), depth: DEPTH });

function gapAt(cell: Cell, asCut: AsCut, place: string, order: Order): number {
  const { probes } = predictCell(cell, asCutErrors(cell, asCut), { order });
  return probes.find(({ joint, at, side }) => `${joint} ${at} ${side}` === place)?.gap ?? Number.NaN;
}

/** Faces that lean by 0.3° on strips 12 mm deep, outward at the front, where the gaps can be worked out with a pencil. */
export function checks(): Check[] {
  return compareRows(
    "leaning-faces",
    SOURCE,
    ORDERS.flatMap((order): Row[] => [...givesWay(order), ...mitrePair(order), ...diagonal(order)]),
  );
}

/** One face on a straightedge, or the two of a point in its corner. */
function givesWay(order: Order): Row[] {
  const lean = { lean: LEAN };
  const bevel = { pieces: { bevel: { cuts: { "end-left": lean } } } };
  const point = { pieces: { point: { cuts: { "start-left": lean, "start-right": lean } } } };
  return (
    [
      ["straightedge", 22.5, bevel, "bevel.end-left|straightedge"],
      ["corner-90", 45, point, "point.start-left|reference-left"],
      ["corner-45", 67.5, point, "point.start-right|reference-right"],
    ] as const
  ).flatMap(([name, degrees, asCut, joint]) => {
    const cell = bench(name, degrees);
    return [PRESSED, OPEN].map((known, k): Row => {
      const side = k === 0 ? "front" : "back";
      const what = `${side} of a leaning face on ${name}, ${order} order, mm`;
      return [
        `${name}-${side}-${order}`,
        what,
        known,
        gapAt(cell, asCut, `${joint} toe ${side}`, order),
        EXACT,
      ];
    });
  });
}

/** Leaning alike, the two faces of a mitre gape by twice as much; leaning opposite ways they fit. */
function mitrePair(order: Order): Row[] {
  const cell = bench("mitre-pair", 22.5);
  const { name } = cell.joints.find((joint) => /^hinge-.*\|hinge-/.test(joint.name))!;
  const row = (id: string, says: string, other: number, known: number): Row => {
    const pieces = {
      "hinge-a": { cuts: { "end-right": { lean: LEAN } } },
      "hinge-b": { cuts: { "end-left": { lean: other } } },
    };
    const what = `back of two mitres ${says}, ${order} order, mm`;
    return [
      `mitre-pair-${id}-${order}`,
      what,
      known,
      gapAt(cell, { pieces }, `${name} heel back`, order),
      EXACT,
    ];
  };
  return [row("alike", "leaning alike", LEAN, 2 * OPEN), row("opposite", "leaning opposite ways", -LEAN, 0)];
}

/** Held between two corners a diagonal cannot give way: ∓λ·d/2. */
function diagonal(order: Order): Row[] {
  const cell = deepSquare(60, STRIP, DEPTH);
  const lean = { lean: LEAN };
  const cuts = { "start-left": lean, "start-right": lean, "end-left": lean, "end-right": lean };
  return (["front", "back"] as const).map((side): Row => {
    const known = ((side === "front" ? -1 : 1) * LEAN * DEPTH) / 2;
    const place = `diagonal.end-left|wall-top heel ${side}`;
    const ours = gapAt(cell, { pieces: { diagonal: { cuts } } }, place, order);
    return [
      `diagonal-${side}-${order}`,
      `${side} of a leaning diagonal in its corner, ${order} order, mm`,
      known,
      ours,
      EXACT,
    ];
  });
}
