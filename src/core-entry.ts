/**
 * `sukima/core`: one cell, its errors, the gaps they make, and the same for millions of cells.
 *
 * Knows no job, no file and no chart, and loads nothing heavy. Lengths are mm and angles radians; a gap above 0 is open.
 */

// Lengths and angles as people write them

export { type ErrorCode, isUserError, UserError } from "./core/errors.js";
export * from "./core/quantity/index.js";

// Random numbers that a seed fixes

export { createStream, type RandomStream } from "./core/numeric/random-stream.js";

// The cell: pieces, walls, joints

export type { Arrangement, Cut, CutFace, CutRole, Piece, Pin, Wall } from "./model/cell/arrangement.js";
export {
  ASANOHA_ANGLES,
  type AsanohaSquareOptions,
  asanohaSquare,
  CLOSING_SEAT_SHARE,
} from "./model/cell/asanoha-square.js";
export {
  BENCH_NAMES,
  type Bench,
  type BenchName,
  type BenchOptions,
  benchNamed,
  benchNames,
} from "./model/cell/benches.js";
export {
  type Cell,
  type Face,
  type FaceErrors,
  type Joint,
  type Order,
  PANEL_SIDES,
  type PanelSide,
  type PinContact,
  type Probe,
} from "./model/cell/cell.js";
export { compileCell } from "./model/cell/compile-cell.js";

// What is off, and the gaps it makes

export type { ElementaryError, ErrorKind } from "./model/cell/cell.js";
export {
  type AsCut,
  asCutErrors,
  type ErrorLayout,
  errorLayout,
  noErrors,
} from "./model/cell/cell-errors.js";
export {
  type FitOptions,
  type FittedGroup,
  type FittedLengths,
  type FittedPrediction,
  fitLengths,
  predictFitted,
} from "./physics/fitting/fit-lengths.js";
export type { FittingGroup, FittingStep } from "./physics/fitting/fitting-plan.js";
export type { EquilibriumOptions } from "./physics/predict/equilibrium.js";
export { type CellPrediction, type ProbeGap, predictCell } from "./physics/predict/predict-cell.js";
export type { Rest } from "./physics/seating/seating-model.js";

// Gap per degree and per tenth

export {
  type DirectionId,
  type ErrorDirection,
  errorDirections,
} from "./physics/sensitivity/error-directions.js";
export {
  type Sensitivity,
  sensitivityTable,
  slopesByModel,
  slopesBySteps,
  type WorstAt,
  worstAlong,
} from "./physics/sensitivity/sensitivity.js";
export {
  CUT_MOVE,
  differentiateFaceMoves,
  FACE_VARIABLES,
  type FaceFigures,
  type FaceMoveSlopes,
  type FaceVariable,
  STRAIGHT_MOVE,
  slopesBySymbols,
} from "./physics/sensitivity/symbolic-slopes.js";

// Many cells

export type { Vec } from "./core/geometry.js";
export { DEFAULT_ANGLE_DIGITS } from "./core/quantity/format.js";
export type { EngineKind } from "./physics/kernel/engine.js";
export {
  type CellSeater,
  createSeater,
  type Fitting,
  type SeatedBlock,
  type SeaterOptions,
  seatBlock,
} from "./physics/kernel/fitted-kernel.js";
export type { KernelOptions, SeatingKernel } from "./physics/kernel/seating-kernel.js";
export type { TrialInputs } from "./physics/kernel/trial-record.js";
export { type CellModel, cellModel } from "./physics/predict/cell-model.js";
