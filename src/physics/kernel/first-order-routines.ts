import { at } from "../../core/numeric/dense.js";
import type { CellModel } from "../predict/cell-model.js";
import { forEachHalf, SIGN_BAND } from "../seating/energy.js";
import { type GapEvaluation, Move, type SeatingModel } from "../seating/seating-model.js";
import { type Routine, solveSymmetric, Tape, type Test, type Value } from "./tape.js";
import { type RecordPlan, type TrialInputs, tapeFreeGaps } from "./trial-record.js";

/** Layout of a trial's first-order numbers in its record. */
export interface FirstOrderPlaces {
  readonly draws: number;
  /** Gaps before any piece has moved, mm. */
  readonly free: number;
  /**
   * The gap (mm) below which a probe counts as pressed next time: +{@link SIGN_BAND} if it is pressed now, −{@link SIGN_BAND} if it is open,
   * so that a gap that is zero within rounding keeps its sign.
   */
  readonly bound: number;
  /** Gaps at the solution of the last step, mm. */
  readonly gap: number;
  /** Gaps from which a search starts. */
  readonly here: number;
  /** Positions of the bodies at that solution, in their own coordinates; `null` if they are not needed. */
  readonly own: number | null;
}

/** The routines of first order. `weak` and `step` return whether any probe's sign has changed. */
export interface FirstOrderRoutines {
  readonly places: FirstOrderPlaces;
  readonly own: OwnCoordinates;
  /** Computes the free gaps from the draws. */
  readonly free: Routine;
  /** The solution with every spring weak. */
  readonly weak: Routine;
  /** The solution with the springs that correspond to the signs. */
  readonly step: Routine;
}

/** @param keepsPlaces whether the positions of the bodies at equilibrium are needed in addition to the gaps. */
export function firstOrderRoutines(
  model: CellModel,
  inputs: TrialInputs,
  pressRatio: number,
  plan: RecordPlan,
  keepsPlaces: boolean,
): FirstOrderRoutines {
  const { seating, nominal } = model;
  const probes = seating.weight.length;
  const places: FirstOrderPlaces = {
    draws: plan.take(inputs.draws),
    free: plan.take(probes),
    bound: plan.take(probes),
    gap: plan.take(probes),
    here: plan.take(probes),
    own: keepsPlaces ? plan.take(3 * seating.bodies) : null,
  };
  const own = ownCoordinates(seating, nominal);
  return {
    places,
    own,
    free: freeRoutine(model, inputs, places),
    weak: solveRoutine("weak", model, own, places, (tape) =>
      Array.from(seating.weight, () => tape.constant(1)),
    ),
    step: solveRoutine("step", model, own, places, (tape) => {
      const [stiff, weak] = [tape.constant(pressRatio), tape.constant(1)];
      return Array.from(seating.weight, (_, i) =>
        tape.pick(tape.less(tape.zero, tape.load(places.bound + i)), stiff, weak),
      );
    }),
  };
}

function freeRoutine(model: CellModel, inputs: TrialInputs, places: FirstOrderPlaces): Routine {
  const tape = new Tape();
  const drawn = Array.from({ length: inputs.draws }, (_, k) => tape.load(places.draws + k));
  const gaps = tapeFreeGaps(tape, model, inputs, drawn);
  for (const [i, gap] of gaps.entries()) tape.store(places.free + i, gap);
  return tape.finish("free");
}

/**
 * The poses that minimise ½ Σ w·k·g² for given stiffnesses k, g = b + G·q: (Gᵀ·W·K·G)·q = −Gᵀ·W·K·b, and the gaps there.
 * If the stiffnesses are constants, the matrix is computed and factored while recording.
 */
function solveRoutine(
  name: "weak" | "step",
  { seating }: CellModel,
  { slopes }: OwnCoordinates,
  places: FirstOrderPlaces,
  stiffnesses: (tape: Tape) => Value[],
): Routine {
  const tape = new Tape();
  const n = 3 * seating.bodies;
  const matrix = Array.from({ length: n }, () => new Array<Value>(n).fill(tape.zero));
  const pull = new Array<Value>(n).fill(tape.zero);
  const stiffness = stiffnesses(tape);
  const free = slopes.map((_, i) => tape.load(places.free + i));
  const entries = slopes.map((halves) =>
    halves.flatMap(({ body, row }) => row.map((slope, c) => ({ place: 3 * body + c, slope }))),
  );
  for (const [i, weight] of seating.weight.entries()) {
    if (weight === 0) continue;
    const load = tape.multiply(at(stiffness, i), at(free, i));
    for (const { place, slope } of at(entries, i)) {
      pull[place] = tape.subtract(at(pull, place), tape.multiply(tape.constant(weight * slope), load));
      for (const other of at(entries, i)) {
        const product = tape.constant(weight * slope * other.slope);
        at(matrix, place)[other.place] = tape.add(
          at(at(matrix, place), other.place),
          tape.multiply(product, at(stiffness, i)),
        );
      }
    }
  }
  const { solution } = solveSymmetric(tape, matrix, pull, coordinateOrder(seating));
  const [pressed, open] = [tape.constant(SIGN_BAND), tape.constant(-SIGN_BAND)];
  const changed: Test[] = [];
  for (const [i, own] of entries.entries()) {
    const gap = own.reduce(
      (g, { place, slope }) => tape.add(g, tape.multiply(tape.constant(slope), at(solution, place))),
      at(free, i),
    );
    const before = name === "weak" ? open : tape.load(places.bound + i);
    const after = tape.pick(tape.less(gap, before), pressed, open);
    tape.store(places.gap + i, gap);
    tape.store(places.bound + i, after);
    if (seating.weight[i] !== 0) changed.push(tape.differ(before, after));
  }
  tape.answer(tape.any(changed));
  const { own } = places;
  if (own !== null) for (const [c, value] of solution.entries()) tape.store(own + c, value);
  return tape.finish(name);
}

type Row = readonly [number, number, number];
/** By rows. */
type Matrix = readonly [Row, Row, Row];

const IDENTITY: Matrix = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** The gaps' derivatives with respect to the poses, body by body, in coordinates that are chosen to give many zeros. */
interface OwnCoordinates {
  /** For each probe, the bodies it touches and d gap / d coordinate for each. */
  readonly slopes: readonly { readonly body: number; readonly row: Row }[][];
  /** For each body: pose = matrix · coordinates. */
  readonly toPose: readonly Matrix[];
}

/** Entries below this share of the largest ones are rounding errors of zeros. */
const ROUNDING = 1e-13;
/** Largest ratio of a probe's movement to that of the three probes that serve as its body's coordinates: rounding errors are amplified by that ratio. */
const STEEPEST = 100;
/** Three rows count as dependent when their volume is below this share of the product of their lengths. */
const DEPENDENT = 1e-9;

/**
 * At first order, a body's position can be described by any three independent numbers. Used here: how much the gaps at three of its own probes have opened through its movement.
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
    for (const [k, { probe }] of own.entries()) at(slopes, probe).push({ body, row: at(transformed, k) });
    return inverse;
  });
  return { slopes, toPose };
}

/** The coordinates of one body: the triple of its probes with the least cost, or its pose itself if no triple is suitable. */
function bestTriple(rows: readonly Row[]): { inverse: Matrix; transformed: Row[] } {
  let [best, least]: [Matrix, number] = [IDENTITY, Number.POSITIVE_INFINITY];
  for (let i = 0; i < rows.length; i++) {
    for (let j = i + 1; j < rows.length; j++) {
      for (let k = j + 1; k < rows.length; k++) {
        const inverse = inverseOf(at(rows, i), at(rows, j), at(rows, k));
        const cost = inverse === null ? Number.POSITIVE_INFINITY : costOf(rows, inverse);
        if (cost < least) [best, least] = [inverse!, cost];
      }
    }
  }
  return { inverse: best, transformed: rows.map((row) => transformedRow(row, best)) };
}

/** Cost: number of products of two entries that the rows add to the energy's matrix, plus a small amount for large entries; infinite if an entry is too large. */
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

/** The row times the matrix, with entries that equal 0 or 1 within rounding set to 0 or 1. */
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

/** Inverse of the matrix with these rows; `null` if they are nearly dependent. */
function inverseOf(a: Row, b: Row, c: Row): Matrix | null {
  const [bc, ca, ab] = [cross(b, c), cross(c, a), cross(a, b)];
  const volume = dot(a, bc);
  const size = Math.sqrt(dot(a, a) * dot(b, b) * dot(c, c));
  if (!(Math.abs(volume) > DEPENDENT * size)) return null;
  const row = (k: 0 | 1 | 2): Row => [bc[k] / volume, ca[k] / volume, ab[k] / volume];
  return [row(0), row(1), row(2)];
}

/**
 * The order in which bodies are eliminated: always one that touches the fewest of those still left (minimum degree), whose neighbours then all touch each other.
 * In the square cell: keys, which touch two hinges each, then hinges, then the diagonal.
 */
export function bodyOrder({ bodies, faceBody, first, mate }: SeatingModel): number[] {
  const touches = Array.from({ length: bodies }, () => new Set<number>());
  for (const [i, face] of first.entries()) {
    const [a, b] = [at(faceBody, face), at(faceBody, at(mate, i))];
    if (a < 0 || b < 0) continue;
    at(touches, a).add(b);
    at(touches, b).add(a);
  }
  const left = new Set(touches.keys());
  const order: number[] = [];
  while (left.size > 0) {
    const next = [...left].reduce((best, body) =>
      at(touches, body).size < at(touches, best).size ? body : best,
    );
    const neighbours = at(touches, next);
    for (const body of neighbours) {
      at(touches, body).delete(next);
      for (const other of neighbours) if (other !== body) at(touches, body).add(other);
    }
    left.delete(next);
    order.push(next);
  }
  return order;
}

/** The same for the three coordinates of each body. */
export const coordinateOrder = (model: SeatingModel): number[] =>
  bodyOrder(model).flatMap((body) => [3 * body, 3 * body + 1, 3 * body + 2]);
