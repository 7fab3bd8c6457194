import { asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import { type BenchName, benchNamed } from "../../../src/model/cell/benches.js";
import type { Cell } from "../../../src/model/cell/cell.js";
import { asCutErrors, noErrors } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import type { CellDrawingInput } from "../../../src/render/cell/cell-drawing.js";

const DEGREE = Math.PI / 180;
export const LIMITS = { gapLimit: 0.1, snugLimit: 0.02 };
export const CELL = compileCell(asanohaSquare({ opening: 60, strip: 3 }));

const drawn = (cell: Cell, errors: Float64Array): CellDrawingInput => ({
  cell,
  errors,
  prediction: predictCell(cell, errors),
});

export const CLOSED = drawn(CELL, noErrors(CELL));

/** Every hinge short by `short` mm at its mitre, the diagonal long by `long` at each end. */
export function poorCell(short: number, long: number): CellDrawingInput {
  const ends = (axial: number) => ({
    cuts: {
      "start-left": { axial },
      "start-right": { axial },
      "end-left": { axial },
      "end-right": { axial },
    },
  });
  const hinges = [1, 2, 3, 4].map((i) => [`hinge-${i}`, ends(-short)]);
  return drawn(CELL, asCutErrors(CELL, { pieces: { ...Object.fromEntries(hinges), diagonal: ends(long) } }));
}

/** On strips 12 mm deep, the ramp of the hinges' ends leaning outward at the front by `degrees`. */
export function leaningCell(degrees: number): CellDrawingInput {
  const cell = compileCell({ ...asanohaSquare({ opening: 60, strip: 3 }), depth: 12 });
  const lean = degrees * DEGREE;
  const ends = { cuts: { "end-left": { lean }, "end-right": { lean } } };
  const hinges = [1, 2, 3, 4].map((i) => [`hinge-${i}`, ends]);
  return drawn(cell, asCutErrors(cell, { pieces: Object.fromEntries(hinges) }));
}

export function bench(name: BenchName, jigAngle: number, sharper: number): CellDrawingInput {
  const cell = compileCell(benchNamed(name, { strip: 3, jigAngle: jigAngle * DEGREE }));
  const pieces = cell.pieces.map(({ name, cuts }) => [
    name,
    {
      cuts: Object.fromEntries(
        cuts.filter(({ role }) => role !== "square").map(({ face }) => [face, { angle: sharper * DEGREE }]),
      ),
    },
  ]);
  return drawn(cell, asCutErrors(cell, { pieces: Object.fromEntries(pieces) }));
}
