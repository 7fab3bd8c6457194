import { forEachHalf } from "../../seating/energy.js";
import { type GapEvaluation, Move } from "../../seating/evaluate-gaps.js";
import type { SeatingModel } from "../../seating/seating-model.js";

type Row = readonly [number, number, number];
/** By rows. */
type Matrix = readonly [Row, Row, Row];

const IDENTITY: Matrix = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** The gaps' derivatives by the poses, body by body, in coordinates chosen for their zeros. */
export interface OwnCoordinates {
  /** For each probe, the bodies it touches and d gap / d coordinate for each. */
  readonly slopes: readonly { readonly body: number; readonly row: Row }[][];
  /** For each body: pose = matrix · coordinates. */
  readonly toPose: readonly Matrix[];
}

/** What is left of a zero after rounding, as a share of the largest entries. */
const ROUNDING = 1e-13;
/** No probe may move more than this many times as far as the three that tell its body's place: it would lose that many times the rounding. */
const STEEPEST = 100;
/** Three rows count as dependent when their volume is below this share of the product of their lengths. */
const DEPENDENT = 1e-9;

/**
 * First order can describe a body's place by any three independent numbers. Taken here: how much the gaps at three of its own probes have opened by its moving.
 * For those probes the row of derivatives is then (1, 0, 0), (0, 1, 0) or (0, 0, 1), and others along the same straight face have a zero or two. The three that leave
 * the fewest products in the energy's matrix are chosen.
 */
export function ownCoordinates(model: SeatingModel, { moves }: GapEvaluation): OwnCoordinates {
  const halves = Array.from({ length: model.bodies }, (): { probe: number; row: Row }[] => []);
  forEachHalf(model, (probe, body, at) => {
    const row: Row = [-moves[at + Move.X]!, -moves[at + Move.Y]!, -moves[at + Move.Angle]!];
    halves[body]!.push({ probe, row });
  });
  const slopes: OwnCoordinates["slopes"] = Array.from(model.weight, () => []);
  const toPose = halves.map((own, body) => {
    const rows = own.map(({ row }) => row);
    const { inverse, transformed } = bestTriple(rows);
    for (const [k, { probe }] of own.entries()) slopes[probe]!.push({ body, row: transformed[k]! });
    return inverse;
  });
  return { slopes, toPose };
}

/** The coordinates of one body: of all triples of its probes, the one that costs least; its pose itself when none will do. */
function bestTriple(rows: readonly Row[]): { inverse: Matrix; transformed: Row[] } {
  let [best, least]: [Matrix, number] = [IDENTITY, Number.POSITIVE_INFINITY];
  for (let i = 0; i < rows.length; i++) {
    for (let j = i + 1; j < rows.length; j++) {
      for (let k = j + 1; k < rows.length; k++) {
        const inverse = inverseOf(rows[i]!, rows[j]!, rows[k]!);
        const cost = inverse === null ? Number.POSITIVE_INFINITY : costOf(rows, inverse);
        if (cost < least) [best, least] = [inverse!, cost];
      }
    }
  }
  return { inverse: best, transformed: rows.map((row) => transformedRow(row, best)) };
}

/** How many products of two entries the rows add to the energy's matrix, and a little for large entries; infinite when one is too large. */
function costOf(rows: readonly Row[], inverse: Matrix): number {
  let products = 0;
  let largest = 0;
  for (const row of rows) {
    const [x, y, z] = transformedRow(row, inverse);
    const used = (x === 0 ? 0 : 1) + (y === 0 ? 0 : 1) + (z === 0 ? 0 : 1);
    products += (used * (used + 1)) / 2;
    largest = Math.max(largest, Math.abs(x), Math.abs(y), Math.abs(z));
  }
  return largest > STEEPEST ? Number.POSITIVE_INFINITY : products + largest / STEEPEST;
}

/** The row times the matrix, rounding to 0 and 1 what is nothing but rounding away from them. */
function transformedRow([x, y, z]: Row, [a, b, c]: Matrix): Row {
  const p = x * a[0] + y * b[0] + z * c[0];
  const q = x * a[1] + y * b[1] + z * c[1];
  const r = x * a[2] + y * b[2] + z * c[2];
  const least = ROUNDING * Math.max(1, Math.abs(p), Math.abs(q), Math.abs(r));
  return [cleaned(p, least), cleaned(q, least), cleaned(r, least)];
}

function cleaned(x: number, least: number): number {
  if (Math.abs(x) <= least) return 0;
  return Math.abs(x - 1) <= least ? 1 : x;
}

const cross = (a: Row, b: Row): Row => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
const dot = (a: Row, b: Row): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** Inverse of the matrix with these rows; null when they are as good as dependent. */
function inverseOf(a: Row, b: Row, c: Row): Matrix | null {
  const [bc, ca, ab] = [cross(b, c), cross(c, a), cross(a, b)];
  const volume = dot(a, bc);
  const size = Math.sqrt(dot(a, a) * dot(b, b) * dot(c, c));
  if (!(Math.abs(volume) > DEPENDENT * size)) return null;
  const row = (k: 0 | 1 | 2): Row => [bc[k] / volume, ca[k] / volume, ab[k] / volume];
  return [row(0), row(1), row(2)];
}
