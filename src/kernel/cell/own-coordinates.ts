import { forEachHalf } from "../../seating/energy.js";
import { type GapEvaluation, Move } from "../../seating/evaluate-gaps.js";
import type { SeatingModel } from "../../seating/seating-model.js";

/** A row of three numbers, or three such rows. */
type Row = readonly [number, number, number];

/** The gaps' derivatives by the poses, body by body, in coordinates chosen for their zeros. */
export interface OwnCoordinates {
  /** For each probe, the bodies it touches and d gap / d coordinate for each. */
  readonly slopes: readonly { readonly body: number; readonly row: Row }[][];
  /** For each body: pose = matrix · coordinates. */
  readonly toPose: readonly (readonly [Row, Row, Row])[];
}

/** What is left of a zero after rounding, as a share of the largest entries. */
const ROUNDING = 1e-13;
/** No probe may move more than this many times as far as the three that tell its body's place: it would lose that many times the rounding. */
const STEEPEST = 100;

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

function bestTriple(rows: readonly Row[]): { inverse: [Row, Row, Row]; transformed: Row[] } {
  let best: { inverse: [Row, Row, Row]; transformed: Row[]; cost: number } | null = null;
  for (let i = 0; i < rows.length; i++) {
    for (let j = i + 1; j < rows.length; j++) {
      for (let k = j + 1; k < rows.length; k++) {
        const inverse = inverseOf(rows[i]!, rows[j]!, rows[k]!);
        if (inverse === null) continue;
        const transformed = rows.map((row, at): Row => {
          if (at === i) return [1, 0, 0];
          if (at === j) return [0, 1, 0];
          if (at === k) return [0, 0, 1];
          return cleaned(times(row, inverse));
        });
        const largest = Math.max(...transformed.flat().map(Math.abs));
        const cost =
          largest > STEEPEST ? largest * rows.length * 10 : productsOf(transformed) + largest / STEEPEST;
        if (best === null || cost < best.cost) best = { inverse, transformed, cost };
      }
    }
  }
  return best!;
}

/** How many products of two entries the rows add to the energy's matrix. */
const productsOf = (rows: readonly Row[]): number =>
  rows.reduce((sum, row) => {
    const used = row.filter((x) => x !== 0).length;
    return sum + (used * (used + 1)) / 2;
  }, 0);

const cross = (a: Row, b: Row): Row => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
const dot = (a: Row, b: Row): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** Inverse of the matrix with these rows; null when they are as good as dependent. */
function inverseOf(a: Row, b: Row, c: Row): [Row, Row, Row] | null {
  const [bc, ca, ab] = [cross(b, c), cross(c, a), cross(a, b)];
  const volume = dot(a, bc);
  const size = Math.hypot(...a) * Math.hypot(...b) * Math.hypot(...c);
  if (!(Math.abs(volume) > 1e-9 * size)) return null;
  return [0, 1, 2].map((k): Row => [bc[k]! / volume, ca[k]! / volume, ab[k]! / volume]) as [Row, Row, Row];
}

const times = (row: Row, [a, b, c]: readonly [Row, Row, Row]): Row =>
  [0, 1, 2].map((k) => row[0] * a[k]! + row[1] * b[k]! + row[2] * c[k]!) as unknown as Row;

const cleaned = (row: Row): Row =>
  row.map((x) => (Math.abs(x) <= ROUNDING * Math.max(1, ...row.map(Math.abs)) ? 0 : x)) as unknown as Row;
