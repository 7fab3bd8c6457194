import type { Cell } from "../lattice/cell.js";
import { createStream, type RandomStream } from "../numeric/random-stream.js";
import { predictCell } from "../predict/predict-cell.js";
import { PRESS_RATIO } from "../seating/seating-model.js";
import { type Check, compareRows, type Row } from "./check.js";
import { deepSquare, SIZES, squareCell } from "./support/cells.js";
import { logLogSlope } from "./support/log-log-slope.js";
import { ownEnergy, ownGaps, ownWeight } from "./support/own-gaps.js";
import { ORDINARY, randomErrors } from "./support/random-errors.js";

const DRAWS = 5;
/** Steps of the differences, mm; a turn moves the ends of a piece by as much. */
const STEP = 1e-5;
/** How far from the bottom a rest may lie along any one coordinate, mm. */
const STILL = 1e-8;
/** Shares of the errors over which the two orders are compared. */
const SHARES = Array.from({ length: 8 }, (_, k) => 0.25 * 0.63 ** k);

/** Exact order: the rest lies at the bottom of the energy, and first order differs from it by the square of the errors. */
export function checks(): Check[] {
  return [
    ...compareRows("rest", "gaps found where lines cross, by differences", [
      ...SIZES.flatMap(([opening, strip]) => restRows(opening, strip)),
      ...restRows(60, 3, 12),
      ...restRows(48, 4, 20),
    ]),
    ...compareRows(
      "orders",
      "Taylor: what first order leaves out grows with the square",
      // In the most slender cell the star floats so far that ordinary errors are not small.
      SIZES.slice(0, -1).flatMap(([opening, strip]) => orderRows(opening, strip)),
    ),
  ];
}

/** With a `depth` every cut leans too, and front and back are read. */
function restRows(opening: number, strip: number, depth?: number): Row[] {
  const cell = depth === undefined ? squareCell(opening, strip) : deepSquare(opening, strip, depth);
  const stream = createStream(3100 + opening);
  let furthest = 0;
  let lower = 0;
  for (let k = 0; k < DRAWS; k++) {
    const errors = randomErrors(cell, stream, ORDINARY);
    const { pose } = predictCell(cell, errors, { order: "exact" }).rest;
    const energyAt = (q: Float64Array): number => ownEnergy(cell, ownGaps(cell, errors, q));
    const arms = cell.pieces.flatMap(({ length }) => [1, 1, length / 2]);
    furthest = Math.max(furthest, ...arms.map((arm, c) => wayToBottom(cell, errors, pose, c, arm)));
    lower += placesBelow(energyAt, pose, arms, stream);
  }
  const deep = depth === undefined ? "" : `, leaning through ${depth} mm`;
  const size = `${DRAWS} cells of ${opening} mm in ${strip} mm strip${deep}`;
  const id = `${opening}-${strip}${depth === undefined ? "" : `-${depth}`}`;
  return [
    [`${id}-bottom`, `way to the bottom along any coordinate at rest, ${size}, mm`, 0, furthest, STILL],
    [`${id}-lower`, `places nearby with less energy, of ${DRAWS * PLACES} tried, ${size}`, 0, lower, 0],
  ];
}

/**
 * Newton's step along one coordinate, mm at the ends of the piece: the slope Σ w·k·g·∂g over the curvature Σ w·k·(∂g)², with ∂g by differences of gaps
 * (differences of the energy itself would drown in its rounding).
 */
function wayToBottom(
  cell: Cell,
  errors: Float64Array,
  pose: Float64Array,
  coordinate: number,
  arm: number,
): number {
  const gapsAt = (by: number): number[] => {
    const moved = pose.slice();
    moved[coordinate]! += by / arm;
    return ownGaps(cell, errors, moved);
  };
  const [up, here, down] = [gapsAt(STEP), gapsAt(0), gapsAt(-STEP)];
  let [slope, curvature] = [0, 0];
  for (const [i, g] of here.entries()) {
    const byMove = (up[i]! - down[i]!) / (2 * STEP);
    const spring = ownWeight(cell, i) * (g < 0 ? PRESS_RATIO : 1);
    slope += spring * g * byMove;
    curvature += spring * byMove * byMove;
  }
  return Math.abs(slope / curvature);
}

/** How many places are tried about each rest, and how far from it, mm. */
const PLACES = 60;
const AWAY = [1e-5, 1e-4, 1e-3];

function placesBelow(
  energyAt: (q: Float64Array) => number,
  pose: Float64Array,
  arms: readonly number[],
  stream: RandomStream,
): number {
  const least = energyAt(pose);
  let below = 0;
  for (let k = 0; k < PLACES; k++) {
    const away = AWAY[k % AWAY.length]!;
    if (energyAt(pose.map((q, c) => q + (away * stream.normal()) / arms[c]!)) < least) below++;
  }
  return below;
}

function orderRows(opening: number, strip: number): Row[] {
  const cell = squareCell(opening, strip);
  const stream = createStream(3200 + opening);
  const slopes = Array.from({ length: DRAWS }, () => {
    const errors = randomErrors(cell, stream, ORDINARY);
    const differences = SHARES.map(
      (share) =>
        predictCell(
          cell,
          errors.map((e) => share * e),
        ).firstOrderDifference,
    );
    return logLogSlope(SHARES, differences);
  });
  const worst = slopes.reduce((a, b) => (Math.abs(b - 2) > Math.abs(a - 2) ? b : a));
  return [
    [
      `${opening}-${strip}`,
      `power of the errors with which the orders part (the furthest of ${DRAWS} from 2), ${opening} mm in ${strip} mm strip`,
      2,
      worst,
      0.1,
    ],
  ];
}
