import type { Cell } from "../lattice/cell.js";
import { createStream, type RandomStream } from "../numeric/random-stream.js";
import { cellModel } from "../predict/cell-model.js";
import { freeGaps } from "../predict/settle.js";
import { restLinear } from "../seating/rest-linear.js";
import { PRESS_RATIO } from "../seating/seating-model.js";
import { compareRows, type Outcome, type Row, skipRows } from "./check.js";
import { SIZES, squareCell } from "./support/cells.js";
import { installed } from "./support/libraries.js";
import { linearSeating } from "./support/linear-seating.js";
import { LARGE, ORDINARY, randomErrors, sharedErrors } from "./support/random-errors.js";
import { type SolveProgramme, seatByQuadraticProgramme } from "./support/seat-by-quadratic-programme.js";

const SOURCE = "quadprog (Goldfarb and Idnani 1983), the seating posed as a quadratic programme";
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
    ["worst-gap", "largest difference of any gap, mm", 0, gapOff, GAP],
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
