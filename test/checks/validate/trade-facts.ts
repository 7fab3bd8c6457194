import { polygonOf, type Vec } from "../../../src/core/geometry.js";
import { asanohaSquare, CLOSING_SEAT_SHARE } from "../../../src/model/cell/asanoha-square.js";
import { type Cell, facePlane } from "../../../src/model/cell/cell.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { climb } from "../../../src/uncertainty/worst-case.js";
import { type Check, compareRows, printedTo } from "./check.js";

const SOURCE = { document: "common practice, no source", kind: "common practice" } as const;
const DEGREES = 180 / Math.PI;
const INCH = 25.4;

/** What makers know, against what the geometry says. */
export function checks(): Check[] {
  const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
  const thirds = (strip: number): number => (2 / 3) * strip - seatDepth(strip, CLOSING_SEAT_SHARE);
  const lap = climb((x) => Math.min(x[0]!, 12 - x[0]!), [{ low: 0, high: 12 }], Float64Array.of(5));
  return compareRows("trade", SOURCE, [
    [
      "point-90",
      "angle of a point cut on both sides at 45°, °",
      90,
      pointAngle(cell, "diagonal.start"),
      1e-9,
    ],
    [
      "point-45",
      "angle of a point cut on both sides at 67.5°, °",
      45,
      pointAngle(cell, "hinge-1.start"),
      1e-9,
    ],
    [
      "notch-90",
      "angle of the notch that two seats make for the key, °",
      90,
      faceAngle(cell, "hinge-1.end-left", "hinge-2.end-right"),
      1e-9,
    ],
    ["key-90", "angle of the key's point in that notch, °", 90, pointAngle(cell, "key-1.end"), 1e-9],
    [
      "ramp-45",
      "ramp for the diagonal's point, ° from a square cut",
      45,
      rampOf(cell, "diagonal.start-left"),
      1e-9,
    ],
    [
      "ramp-67",
      "ramp for the hinge's point, ° from a square cut",
      67.5,
      rampOf(cell, "hinge-1.start-left"),
      1e-9,
    ],
    [
      "ramp-22",
      "ramp for the hinge's mitre, ° from a square cut",
      22.5,
      rampOf(cell, "hinge-1.end-right"),
      1e-9,
    ],
    [
      "share",
      "share of the strip that lets the key's shoulder meet the hinge's edge, found by closing the cell",
      0.6533,
      closingShare(),
      printedTo(4),
    ],
    [
      "thirds",
      "nearest fraction of that share with a denominator up to 5",
      2 / 3,
      nearestFraction(CLOSING_SEAT_SHARE, 5),
      1e-12,
    ],
    [
      "thirds-3",
      "what two thirds takes off too much, 3 mm strip, mm",
      (0.6667 - 0.6533) * 3,
      thirds(3),
      0.0003,
    ],
    [
      "thirds-1/8",
      "what two thirds takes off too much, 1/8 in strip, mm",
      (0.6667 - 0.6533) * (INCH / 8),
      thirds(INCH / 8),
      0.0003,
    ],
    ["lap", "depth of each half-lap that leaves both strips thickest, 12 mm strips, mm", 6, lap.at[0]!, 1e-3],
  ]);
}

const faceNamed = (cell: Cell, name: string) => cell.faces.find((face) => face.name === name)!;

/** Angle inside the wood between the two faces of a point, degrees: straight minus the turn between their normals. */
function pointAngle(cell: Cell, end: string): number {
  return 180 - turnBetween(cell, `${end}-left`, `${end}-right`);
}

/** Angle between two faces of different pieces that look at each other, seen from the space between. */
function faceAngle(cell: Cell, a: string, b: string): number {
  return 180 - turnBetween(cell, a, b);
}

function turnBetween(cell: Cell, a: string, b: string): number {
  const turn = faceNamed(cell, a).angle - faceNamed(cell, b).angle;
  return Math.acos(Math.cos(turn)) * DEGREES;
}

/** How far a cut's face is turned from a square cut across its own piece. */
function rampOf(cell: Cell, name: string): number {
  const face = faceNamed(cell, name);
  const along = cell.pieces[face.body]!.axis;
  const turn = Math.acos(Math.abs(Math.cos(face.angle - along)));
  return turn * DEGREES;
}

function corners(cell: Cell, piece: string): Vec[] {
  return polygonOf(cell.faces.filter((face) => face.name.startsWith(`${piece}.`)).map(facePlane));
}

/** Depth that the seat takes across the strip, mm: from the hinge's end point to the edge it was cut from. */
function seatDepth(strip: number, seatShare: number): number {
  const cell = compileCell(asanohaSquare({ opening: 60, strip, seatShare }));
  const { axis, origin } = cell.pieces.find((piece) => piece.name === "hinge-1")!;
  const lateral = corners(cell, "hinge-1").map(
    (p) => -(p.x - origin.x) * Math.sin(axis) + (p.y - origin.y) * Math.cos(axis),
  );
  const along = corners(cell, "hinge-1").map(
    (p) => (p.x - origin.x) * Math.cos(axis) + (p.y - origin.y) * Math.sin(axis),
  );
  const tip = along.indexOf(Math.max(...along));
  return strip / 2 - lateral[tip]!;
}

/** The share at which the corner where the key's side ends lies on the hinge's edge, by bisection over whole cells. */
function closingShare(): number {
  const miss = (seatShare: number): number => {
    const cell = compileCell(asanohaSquare({ opening: 60, strip: 3, seatShare }));
    const { axis, origin } = cell.pieces.find((piece) => piece.name === "key-1")!;
    // The key's shoulder on its left: where its end face leaves the side.
    const shoulder = corners(cell, "key-1").reduce((best, p) => {
      const across = -(p.x - origin.x) * Math.sin(axis) + (p.y - origin.y) * Math.cos(axis);
      const ahead = (p.x - origin.x) * Math.cos(axis) + (p.y - origin.y) * Math.sin(axis);
      return Math.abs(across - 1.5) < 1e-9 && ahead > 0 ? p : best;
    });
    // Outside the edge of the hinge that carries its seat when > 0.
    return Math.max(
      ...["hinge-1.left", "hinge-2.right"].map((name) => {
        const { normal, offset } = facePlane(faceNamed(cell, name));
        return normal.x * shoulder.x + normal.y * shoulder.y - offset;
      }),
    );
  };
  let [lo, hi] = [0.55, 0.75];
  const rising = miss(hi) > miss(lo);
  for (let step = 0; step < 50; step++) {
    const middle = (lo + hi) / 2;
    if (miss(middle) > 0 === rising) hi = middle;
    else lo = middle;
  }
  return (lo + hi) / 2;
}

function nearestFraction(value: number, mostDenominator: number): number {
  let best = 0;
  for (let q = 1; q <= mostDenominator; q++) {
    const fraction = Math.round(value * q) / q;
    if (Math.abs(fraction - value) < Math.abs(best - value)) best = fraction;
  }
  return best;
}
