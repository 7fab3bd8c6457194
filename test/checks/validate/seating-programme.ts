import type { solveQP } from "quadprog";
import { createStream, type RandomStream } from "../../../src/core/numeric/random-stream.js";
import type { Cell } from "../../../src/model/cell/cell.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { freeGaps } from "../../../src/physics/predict/equilibrium.js";
import { restLinear } from "../../../src/physics/seating/rest-linear.js";
import { PRESS_RATIO } from "../../../src/physics/seating/seating-model.js";
import { LARGE, ORDINARY, randomErrors, SIZES, sharedErrors, squareCell } from "./cells.js";
import { compareRows, type Outcome, type Row, skipRows } from "./check.js";
import { ownGaps } from "./seating-exact.js";

const SOURCE = {
  document: "quadprog",
  place: "Goldfarb and Idnani 1983; the seating posed as a quadratic programme",
  kind: "other library",
} as const;
const CELLS = 500;
const RELATIVE = 1e-8;
/** mm. */
const GAP = 1e-7;

/** First-order seating of random cells against a general programme solver that is given the geometry alone. */
export async function checks(load = () => import("quadprog")): Promise<Outcome[]> {
  const library = await installed(load);
  if (!library) return skipRows("seating-qp", SOURCE, rowsOf(null), "quadprog");
  return compareRows("seating-qp", SOURCE, rowsOf(compareCells(library.solveQP)));
}

interface Comparison {
  cells: number;
  /** Energies summed over the cells, mm³. */
  programmed: number;
  ours: number;
  /** Largest relative difference of one cell's energy; largest difference of any gap, mm. */
  energyOff: number;
  gapOff: number;
  /** The same difference of gaps for a press ratio that is 1 % too low. */
  softOff: number;
}

function rowsOf(comparison: Comparison | null): Row[] {
  const { cells, programmed, ours, energyOff, gapOff, softOff } = comparison ?? NONE;
  return [
    ["cells", "random cells compared, of six sizes", CELLS, cells, 0],
    ["energy", "their energies at rest, summed, mm³", programmed, ours, RELATIVE * programmed],
    ["worst-energy", "largest relative difference of one cell's energy", 0, energyOff, RELATIVE],
    ["widest-gap", "largest difference of any gap, mm", 0, gapOff, GAP],
    [
      "control",
      "negative control: faces pressed 1 % too softly differ by more (1 yes)",
      1,
      softOff > 100 * GAP ? 1 : 0,
      0,
    ],
  ];
}

const NONE: Comparison = { cells: 0, programmed: 0, ours: 0, energyOff: 0, gapOff: 0, softOff: 0 };

function compareCells(solve: SolveProgramme): Comparison {
  const stream = createStream(11);
  const cells = SIZES.map(([opening, strip]) => squareCell(opening, strip));
  const out = { ...NONE };
  for (let k = 0; k < CELLS; k++) {
    const cell = cells[k % cells.length]!;
    const errors = drawErrors(cell, stream, k);
    const programmed = seatByQuadraticProgramme(linearSeating(cell, errors), solve);
    const [rest, soft] = [PRESS_RATIO, 0.99 * PRESS_RATIO].map((ratio) => seat(cell, errors, ratio));
    const off = (gap: Float64Array): number =>
      gap.reduce((most, g, i) => Math.max(most, Math.abs(g - programmed.gap[i]!)), 0);
    out.cells++;
    out.programmed += programmed.value;
    out.ours += rest!.energy;
    // Shared errors may all be zero: then both energies are.
    const size = Math.max(rest!.energy, 1e-20);
    for (const energy of [programmed.value, programmed.energy])
      out.energyOff = Math.max(out.energyOff, Math.abs(energy - rest!.energy) / size);
    out.gapOff = Math.max(out.gapOff, off(rest!.gap));
    out.softOff = Math.max(out.softOff, off(soft!.gap));
  }
  return out;
}

/** Every cut and piece wrong by itself, or mirror-image pieces alike; ordinary and large in turn. */
function drawErrors(cell: Cell, stream: RandomStream, k: number): Float64Array {
  const draw = [randomErrors, randomErrors, sharedErrors][k % 3]!;
  return draw(cell, stream, k % 2 === 0 ? ORDINARY : LARGE);
}

/** The project's rest, with its own weights. */
function seat(cell: Cell, errors: Float64Array, pressRatio: number): { gap: Float64Array; energy: number } {
  const model = cellModel(cell);
  const { gap } = restLinear(model.seating, model.nominal, freeGaps(model, errors), pressRatio);
  const energy = gap.reduce(
    (sum, g, i) => sum + 0.5 * model.seating.weight[i]! * (g < 0 ? pressRatio : 1) * g * g,
    0,
  );
  return { gap, energy };
}

export type SolveProgramme = typeof solveQP;

export interface ProgrammedRest {
  readonly pose: number[];
  readonly gap: number[];
  /** Energy as the programme states it, and of its poses. */
  readonly value: number;
  readonly energy: number;
}

/**
 * The seating as a quadratic programme, solved by the dual method of Goldfarb and Idnani (1983) of the library quadprog, which knows nothing of springs or signs.
 *
 * Since k(g)·g² = g² + (K − 1)·max(0, −g)², the least of ½ Σ w·k(g)·g² is that of
 *     ½ Σ w·g(q)² + ½ (K − 1) Σ w·m²   under   m ≥ −g(q):
 * m is the press, held up by its constraint where a gap is negative and drawn to zero where it is not. It is strictly convex in (q, m) when K > 1, every w > 0 and
 * the pieces are held, as the method asks. Coordinates are scaled to slopes of unit length.
 *
 * @throws Error when the library finds no solution.
 */
export function seatByQuadraticProgramme(
  { free, slopes, weight, pressRatio }: LinearSeating,
  solve: SolveProgramme,
): ProgrammedRest {
  const probes = free.length;
  const n = slopes.length / probes;
  const scale = Array.from({ length: n }, (_, c) =>
    Math.hypot(...Array.from({ length: probes }, (_, i) => slopes[i * n + c]!)),
  );
  const slope = (probe: number, c: number): number => slopes[probe * n + c]! / scale[c]!;
  const size = n + probes;
  const oneBased = () => new Array<number>(size + 1).fill(0);
  const D = Array.from({ length: size + 1 }, oneBased);
  const d = oneBased();
  const A = Array.from({ length: size + 1 }, () => new Array<number>(probes + 1).fill(0));
  const b0 = new Array<number>(probes + 1).fill(0);
  for (let i = 0; i < probes; i++) {
    for (let a = 0; a < n; a++) {
      for (let b = 0; b < n; b++) D[a + 1]![b + 1]! += weight[i]! * slope(i, a) * slope(i, b);
      d[a + 1]! -= weight[i]! * slope(i, a) * free[i]!;
      A[a + 1]![i + 1] = slope(i, a);
    }
    D[n + i + 1]![n + i + 1] = (pressRatio - 1) * weight[i]!;
    A[n + i + 1]![i + 1] = 1;
    b0[i + 1] = -free[i]!;
  }
  const { solution, value, message } = solve(D, d, A, b0);
  if (message !== "") throw new Error(`The quadratic programme was not solved: ${message}`);
  const pose = scale.map((s, c) => solution[c + 1]! / s);
  const gap = Array.from(free, (g, i) => pose.reduce((sum, q, c) => sum + slopes[i * n + c]! * q, g));
  return {
    pose,
    gap,
    value: value[1]! + free.reduce((sum, g, i) => sum + 0.5 * weight[i]! * g * g, 0),
    energy: gap.reduce((sum, g, i) => sum + 0.5 * weight[i]! * (g < 0 ? pressRatio : 1) * g * g, 0),
  };
}

/** First-order seating as plain matrices: gaps g = free + slopes·q. */
export interface LinearSeating {
  /** Gaps before any piece has moved, mm. */
  readonly free: Float64Array;
  /** d gap / d pose, row-major (probe, coordinate). */
  readonly slopes: Float64Array;
  /** Half the joint's length, mm. */
  readonly weight: Float64Array;
  readonly pressRatio: number;
}

/** What of it does not depend on the errors, and how the free gaps do. */
interface Linearised {
  readonly slopes: Float64Array;
  readonly byError: Float64Array;
  readonly weight: Float64Array;
}

const known = new WeakMap<Cell, Linearised>();

/**
 * A cell's first-order seating under an error vector, from the geometry alone: the slopes are differences of gaps found where lines cross
 * ({@link ownGaps}), the weights half the joints' lengths. Nothing of the project's seating has a part in it.
 */
export function linearSeating(
  cell: Cell,
  errors: Float64Array,
  pressRatio: number = PRESS_RATIO,
): LinearSeating {
  const linearised = known.get(cell) ?? linearise(cell);
  known.set(cell, linearised);
  const { slopes, byError, weight } = linearised;
  const columns = errors.length;
  const free = weight.map((_, i) => errors.reduce((sum, e, c) => sum + byError[i * columns + c]! * e, 0));
  return { free, slopes, weight, pressRatio };
}

function linearise(cell: Cell): Linearised {
  const noErrors = new Float64Array(errorLayout(cell).entries.length);
  const noPose = new Float64Array(3 * cell.pieces.length);
  return {
    slopes: differences((pose) => ownGaps(cell, noErrors, pose), noPose.length),
    byError: differences((errors) => ownGaps(cell, errors, noPose), noErrors.length),
    weight: Float64Array.from(cell.joints.flatMap(({ length }) => [length / 2, length / 2])),
  };
}

/** mm or rad: small beside any face, and rounding (1e-16·opening/step) well below what four points leave out. */
const STEP = 1e-3;

/** Slopes at zero by four points, row-major. */
function differences(f: (x: Float64Array) => number[], columns: number): Float64Array {
  const at = (column: number, value: number): number[] => {
    const x = new Float64Array(columns);
    x[column] = value;
    return f(x);
  };
  const quotient = (column: number, h: number): number[] => {
    const [up, down] = [at(column, h), at(column, -h)];
    return up.map((value, i) => (value - down[i]!) / (2 * h));
  };
  const byColumn = Array.from({ length: columns }, (_, c) => {
    const [near, far] = [quotient(c, STEP), quotient(c, 2 * STEP)];
    return near.map((slope, i) => slope + (slope - far[i]!) / 3);
  });
  return Float64Array.from({ length: byColumn[0]!.length * columns }, (_, k) => {
    return byColumn[k % columns]![Math.floor(k / columns)]!;
  });
}

/** The library, or `null` when it is not installed: some are needed by checks only. */
export async function installed<T>(load: () => Promise<T>): Promise<T | null> {
  try {
    return await load();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ERR_MODULE_NOT_FOUND") return null;
    throw error;
  }
}
