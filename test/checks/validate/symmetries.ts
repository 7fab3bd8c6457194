import { rotate } from "../../../src/core/geometry.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import type { Arrangement, CutFace } from "../../../src/model/cell/arrangement.js";
import { asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import { type BenchName, benchNamed } from "../../../src/model/cell/benches.js";
import type { Cell, Order } from "../../../src/model/cell/cell.js";
import { asCutErrors, errorLayout } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { PRESS_RATIO } from "../../../src/physics/seating/seating-model.js";
import { DEGREE, jointGaps, largestDifference, ORDERS, ORDINARY, randomErrors, squareCell } from "./cells.js";
import { type Check, compareRows, type Row } from "./check.js";

const CELL = squareCell(60, 3);
const DRAWS = 20;
/** mm: the rests are sought until no gap would change by more than this. */
const SAME = 1e-10;

/** What must not change, and by how much the rest must: no figure from anywhere, only what a symmetry says. */
export function checks(): Check[] {
  const symmetric = ORDERS.flatMap((order): Row[] => {
    const row = (id: string, quantity: string, most: number, tolerance = SAME): Row => [
      `${id}-${order}`,
      `${quantity}, largest difference in ${DRAWS} draws, ${order} order, mm`,
      0,
      most,
      tolerance,
    ];
    return [
      row("mirror", "errors mirrored across the diagonal against gaps mirrored", imaged(MIRROR, order)),
      row("half-turn", "errors turned by half a turn against gaps turned", imaged(HALF_TURN, order)),
      row("turn", "the whole cell lying turned", wholeCellTurned(order)),
      row("scale-1/3", "every length a third, gaps a third", scaled(1 / 3, order)),
      row("scale-25.4", "every length times 25.4, gaps too", scaled(25.4, order), 25.4 * SAME),
    ];
  });
  const careless = imaged({ ...MIRROR, sense: 1 }, "first");
  return [
    ...compareRows(
      "symmetry",
      { document: "symmetry", place: "no figure from anywhere", kind: "self-consistency" },
      [
        ...symmetric,
        [
          "control",
          "negative control: a mirror that forgets the sense of turns is off by 0.001 mm or more (1 yes)",
          1,
          careless > 1e-3 ? 1 : 0,
          0,
        ],
      ],
    ),
    ...compareRows(
      "ring",
      { document: "closed forms", place: "a full turn is 360°, half a turn 180°", kind: "closed form" },
      RINGS.flatMap(ringRows),
    ),
  ];
}

/** Largest difference over draws of random errors. */
function overDraws(seed: number, difference: (errors: Float64Array) => number): number {
  const stream = createStream(seed);
  const draws = Array.from({ length: DRAWS }, () => difference(randomErrors(CELL, stream, ORDINARY)));
  return Math.max(...draws);
}

const imaged = (image: Image, order: Order): number =>
  overDraws(81, (errors) => {
    const there = jointGaps(CELL, imageOfErrors(CELL, errors, image), { order }, sortedJoint);
    const here = jointGaps(CELL, errors, { order }, (joint) => imageOfJoint(joint, image));
    return largestDifference(here, there);
  });

function wholeCellTurned(order: Order): number {
  const square = asanohaSquare({ opening: 60, strip: 3 });
  let k = 0;
  return overDraws(85, (errors) => {
    const lying = compileCell(turned(square, 0.77 * ++k));
    return largestDifference(
      jointGaps(CELL, errors, { order }, sortedJoint),
      jointGaps(lying, errors, { order }, sortedJoint),
    );
  });
}

function scaled(factor: number, order: Order): number {
  const { entries } = errorLayout(CELL);
  const large = squareCell(60 * factor, 3 * factor);
  return overDraws(84, (errors) => {
    const grown = errors.map((e, i) =>
      entries[i]!.kind === "angle" || entries[i]!.kind === "turn" ? e : factor * e,
    );
    return largestDifference(jointGaps(CELL, errors, { order }), jointGaps(large, grown, { order }), factor);
  });
}

const RINGS: readonly (readonly [BenchName, degrees: number, count: number])[] = [
  ["reversal", 45, 2],
  ["ring", 30, 3],
  ["ring", 45, 4],
  ["ring", 60, 6],
  ["ring", 67.5, 8],
];
/** The joint that closes a ring bends the others by a few hundred-thousandths of what it shows. */
const BENDING = 3e-5;

/** How many times the error of one point, 2δ between its faces, a ring shows as an angle in the joint that closes it. */
function ringRows([name, degrees, count]: (typeof RINGS)[number]): Row[] {
  const cell = compileCell(benchNamed(name, { strip: 3, jigAngle: degrees * DEGREE }));
  const closing = cell.joints.find(({ pressed }) => !pressed)!;
  return [0.3, -0.3].flatMap((error): Row[] => {
    const shown = ORDERS.map((order) => {
      const gaps = jointGaps(cell, everyPoint(cell, error * DEGREE), { order });
      const open = gaps.get(`${closing.name} ${error > 0 ? "heel" : "toe"}`)!;
      // The joint shares what it shows 1 : K between its ends.
      const slope = (open * (PRESS_RATIO + 1)) / PRESS_RATIO / closing.length;
      return order === "first" ? slope : Math.atan(slope);
    });
    return ORDERS.map(
      (order, k): Row => [
        `${name}-${count}${error > 0 ? "-sharp" : "-blunt"}-${order}`,
        `${count} points cut at ${degrees}°, each ${error > 0 ? "sharp" : "blunt"} by 0.3°: what shows, over the error of one, ${order} order`,
        count,
        shown[k]! / (2 * Math.abs(error) * DEGREE),
        BENDING * count,
      ],
    );
  });
}

function everyPoint(cell: Cell, angle: number): Float64Array {
  const cuts = { "start-left": { angle }, "start-right": { angle } };
  return asCutErrors(cell, { pieces: Object.fromEntries(cell.pieces.map(({ name }) => [name, { cuts }])) });
}

/** How a symmetry of the square cell renames what it maps, and what becomes of turns. */
export interface Image {
  /** The piece or wall that takes another's place. */
  readonly of: Readonly<Record<string, string>>;
  /** A face of a piece becomes the face of this name of its image. */
  readonly face: (piece: string, face: string) => string;
  /** −1 for a mirror: a turn changes its sense. */
  readonly sense: 1 | -1;
}

const otherSide = (face: string): string =>
  face.replace(/left|right/, (side) => (side === "left" ? "right" : "left"));
const otherEnd = (face: string): string =>
  face.replace(/start|end/, (end) => (end === "start" ? "end" : "start"));

/** Across the diagonal: upper left and lower right triangle change places. */
export const MIRROR: Image = {
  of: {
    diagonal: "diagonal",
    "hinge-1": "hinge-3",
    "hinge-3": "hinge-1",
    "hinge-2": "hinge-4",
    "hinge-4": "hinge-2",
    "key-1": "key-2",
    "key-2": "key-1",
    "wall-left": "wall-bottom",
    "wall-bottom": "wall-left",
    "wall-top": "wall-right",
    "wall-right": "wall-top",
  },
  face: (_, face) => otherSide(face),
  sense: -1,
};

/** By half a turn: the diagonal comes to lie end for end, every other piece keeps its faces. */
export const HALF_TURN: Image = {
  of: {
    diagonal: "diagonal",
    "hinge-1": "hinge-4",
    "hinge-4": "hinge-1",
    "hinge-2": "hinge-3",
    "hinge-3": "hinge-2",
    "key-1": "key-2",
    "key-2": "key-1",
    "wall-left": "wall-right",
    "wall-right": "wall-left",
    "wall-top": "wall-bottom",
    "wall-bottom": "wall-top",
  },
  face: (piece, face) =>
    piece === "diagonal" ? otherSide(face.includes("-") ? otherEnd(face) : face) : face,
  sense: 1,
};

/** The errors that the image of a cell has. */
export function imageOfErrors(cell: Cell, errors: Float64Array, image: Image): Float64Array {
  const { entries, indexOf } = errorLayout(cell);
  const out = new Float64Array(errors.length);
  for (const [i, { kind, owner, face }] of entries.entries()) {
    const to = face === undefined ? undefined : (image.face(owner, face) as CutFace);
    out[indexOf(kind, image.of[owner]!, to)] = (kind === "turn" ? image.sense : 1) * errors[i]!;
  }
  return out;
}

/** A joint's name in the image, its two faces in alphabetical order: which one a pattern names first does not matter to the gap. */
export function imageOfJoint(joint: string, image: Image): string {
  const moved = joint.split("|").map((name) => {
    const [owner, face] = name.split(".");
    const piece = image.of[owner!]!;
    return face === undefined ? piece : `${piece}.${image.face(owner!, face)}`;
  });
  return moved.sort().join("|");
}

export const sortedJoint = (joint: string): string => joint.split("|").sort().join("|");

/** The same arrangement turned by `angle` (rad) about the origin. */
export function turned(arrangement: Arrangement, angle: number): Arrangement {
  const { walls, pieces, pins } = arrangement;
  return {
    ...arrangement,
    walls: walls.map((wall) => ({
      ...wall,
      middle: rotate(wall.middle, angle),
      normal: wall.normal + angle,
    })),
    pieces: pieces.map((piece) => ({
      ...piece,
      origin: rotate(piece.origin, angle),
      axis: piece.axis + angle,
    })),
    ...(pins
      ? { pins: pins.map((pin) => ({ ...pin, at: rotate(pin.at, angle), stops: pin.stops + angle })) }
      : {}),
  };
}
