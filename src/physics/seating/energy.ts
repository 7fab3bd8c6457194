import { UserError } from "../../core/errors.js";
import { type GapEvaluation, Move, type Rest, type SeatingModel } from "./seating-model.js";

/** Stiffness of each probe, which depends on the sign of its gap, multiplied by the length of face that it represents (mm). */
export function springs(model: SeatingModel, pressed: Uint8Array, pressRatio: number): Float64Array {
  return model.weight.map((weight, i) => (pressed[i] ? pressRatio * weight : weight));
}

/** A gap whose absolute value is below this (mm) keeps its previous sign when signs are read. */
export const SIGN_BAND = 1e-13;

/** Reads the signs of the gaps. @returns whether any sign changed. */
export function readSigns(gap: Float64Array, pressed: Uint8Array): boolean {
  let changed = false;
  for (let i = 0; i < gap.length; i++) {
    if (Math.abs(gap[i]!) <= SIGN_BAND) continue;
    const now = gap[i]! < 0 ? 1 : 0;
    if (now !== pressed[i]) {
      pressed[i] = now;
      changed = true;
    }
  }
  return changed;
}

/** Energy ½ Σ w·k·g² of springs extended by the gaps, mm³. */
export function energy(gap: Float64Array, spring: Float64Array): number {
  return gap.reduce((sum, g, i) => sum + 0.5 * spring[i]! * g * g, 0);
}

/** Gradient of the energy with respect to the poses. */
export function gradient(
  model: SeatingModel,
  { gap, moves }: GapEvaluation,
  spring: Float64Array,
): Float64Array {
  const force = new Float64Array(3 * model.bodies);
  forEachHalf(model, (probe, body, at) => {
    const pull = -spring[probe]! * gap[probe]!;
    force[3 * body]! += pull * moves[at + Move.X]!;
    force[3 * body + 1]! += pull * moves[at + Move.Y]!;
    force[3 * body + 2]! += pull * moves[at + Move.Angle]!;
  });
  return force;
}

/** An equilibrium is accepted if the residual force is below this share of the forces' magnitudes. */
const BALANCED = 1e-6;

/** The iteration towards an equilibrium stops when no gap would change by more than this, mm. */
export const STILL = 1e-10;
/** Rounding error of a gap as a share of the largest coordinate. */
const GAP_ROUNDING = 1e-14;

/**
 * Largest component of the gradient as a share of the magnitudes of the forces that make it up. Each gap is taken as at least so large that its remaining error
 * passes as balanced, because in a cell with almost no errors the forces consist only of that error.
 */
function imbalanceOf(model: SeatingModel, { gap, moves }: GapEvaluation, spring: Float64Array): number {
  const least = Math.max(STILL, GAP_ROUNDING * largestCoordinate(model)) / BALANCED;
  const size = new Float64Array(3 * model.bodies);
  forEachHalf(model, (probe, body, at) => {
    const pull = spring[probe]! * (Math.abs(gap[probe]!) + least);
    size[3 * body]! += pull * Math.abs(moves[at + Move.X]!);
    size[3 * body + 1]! += pull * Math.abs(moves[at + Move.Y]!);
    size[3 * body + 2]! += pull * Math.abs(moves[at + Move.Angle]!);
  });
  return gradient(model, { gap, moves }, spring).reduce((m, f, i) => Math.max(m, Math.abs(f) / size[i]!), 0);
}

function largestCoordinate({ probeX, probeY, faceX, faceY }: SeatingModel): number {
  return [probeX, probeY, faceX, faceY].reduce(
    (largest, list) => list.reduce((m, x) => Math.max(m, Math.abs(x)), largest),
    0,
  );
}

/**
 * The equilibrium found, provided that its forces balance.
 *
 * @throws UserError (code "seating") when they do not.
 */
export function acceptedRest(
  model: SeatingModel,
  at: GapEvaluation,
  spring: Float64Array,
  pose: Float64Array,
  iterations: number,
): Rest {
  const imbalance = imbalanceOf(model, at, spring);
  if (!(imbalance <= BALANCED))
    throw new UserError("seating", "The pieces found no rest: the forces on them do not balance.");
  return { pose, gap: at.gap, iterations, imbalance };
}

/** Hessian of the energy, row-major; with `curved`, it includes the second derivatives of the gaps. */
export function hessian(
  model: SeatingModel,
  { gap, moves }: GapEvaluation,
  spring: Float64Array,
  curved: boolean,
): Float64Array {
  const n = 3 * model.bodies;
  const out = new Float64Array(n * n);
  const rowOf = new Float64Array(6);
  const place = new Int32Array(6);
  for (let i = 0; i < gap.length; i++) {
    const used = slopesOf(model, moves, i, rowOf, place);
    for (let a = 0; a < used; a++) {
      for (let b = 0; b < used; b++) out[place[a]! * n + place[b]!]! += spring[i]! * rowOf[a]! * rowOf[b]!;
    }
  }
  if (!curved) return out;
  forEachHalf(model, (probe, body, at) => {
    const pull = -spring[probe]! * gap[probe]!;
    const [x, y, turn] = [3 * body, 3 * body + 1, 3 * body + 2];
    out[turn * n + turn]! += pull * moves[at + Move.AngleAngle]!;
    for (const [k, slope] of [
      [x, moves[at + Move.AngleX]!],
      [y, moves[at + Move.AngleY]!],
    ] as const) {
      out[turn * n + k]! += pull * slope;
      out[k * n + turn]! += pull * slope;
    }
  });
  return out;
}

/** Writes to `slopes` the derivatives of one gap with respect to the poses it depends on, with their indices; returns their number. */
export function slopesOf(
  model: SeatingModel,
  moves: Float64Array,
  probe: number,
  slopes: Float64Array,
  place: Int32Array,
): number {
  let used = 0;
  for (let half = 0; half < 2; half++) {
    const body = model.faceBody[half === 0 ? model.first[probe]! : model.mate[probe]!]!;
    if (body < 0) continue;
    const at = (2 * probe + half) * Move.Size;
    slopes[used] = -moves[at + Move.X]!;
    slopes[used + 1] = -moves[at + Move.Y]!;
    slopes[used + 2] = -moves[at + Move.Angle]!;
    for (let k = 0; k < 3; k++) place[used + k] = 3 * body + k;
    used += 3;
  }
  return used;
}

/** Visits the half of each probe that lies on a body that may move. */
export function forEachHalf(
  model: SeatingModel,
  visit: (probe: number, body: number, at: number) => void,
): void {
  for (let i = 0; i < model.weight.length; i++) {
    const a = model.faceBody[model.first[i]!]!;
    const b = model.faceBody[model.mate[i]!]!;
    if (a >= 0) visit(i, a, 2 * i * Move.Size);
    if (b >= 0) visit(i, b, (2 * i + 1) * Move.Size);
  }
}

/**
 * A direction counts as free if its remainder, after projecting out the directions that are already held, is below this share.
 * Rounding leaves about 1e-15; the least constrained valid cell (a 10 m opening of 0.1 mm strips) leaves 1e-5.
 */
const FREE = 1e-10;

/**
 * The index of a body that can slide or turn without changing any pressed gap, to first order; `null` if all bodies are held.
 * Gram–Schmidt over the gaps' derivatives, the largest remainder first: unlike the pivots of the Hessian, the result does not depend on the orientation of the cell.
 */
export function freeBody(model: SeatingModel, { moves }: GapEvaluation): number | null {
  const columns = slopeColumns(model, moves);
  const left = columns.map((column, place) => ({ place, column, length: Math.hypot(...column) }));
  for (const entry of left) {
    if (entry.length === 0) return Math.floor(entry.place / 3);
    entry.column = entry.column.map((x) => x / entry.length);
    entry.length = 1;
  }
  while (left.length > 0) {
    left.sort((a, b) => a.length - b.length);
    const { place, column, length } = left.pop()!;
    if (!(length > FREE)) return Math.floor(place / 3);
    const unit = column.map((x) => x / length);
    for (const entry of left) {
      const share = entry.column.reduce((sum, x, i) => sum + x * unit[i]!, 0);
      entry.column = entry.column.map((x, i) => x - share * unit[i]!);
      entry.length = Math.hypot(...entry.column);
    }
  }
  return null;
}

/** Derivatives of every pressed gap with respect to each coordinate of the poses. */
function slopeColumns(model: SeatingModel, moves: Float64Array): Float64Array[] {
  const probes = model.weight.length;
  const columns = Array.from({ length: 3 * model.bodies }, () => new Float64Array(probes));
  const slopes = new Float64Array(6);
  const place = new Int32Array(6);
  for (let i = 0; i < probes; i++) {
    if (model.weight[i] === 0) continue;
    const used = slopesOf(model, moves, i, slopes, place);
    for (let k = 0; k < used; k++) columns[place[k]!]![i] = slopes[k]!;
  }
  return columns;
}
