import { UserError } from "../../core/errors.js";
import { type GapEvaluation, Move, type Rest, type SeatingModel } from "./seating-model.js";

/** Stiffness of each probe times the stretch it stands for, by the sign of its gap. */
export function springs(model: SeatingModel, pressed: Uint8Array, pressRatio: number): Float64Array {
  return model.weight.map((weight, i) => (pressed[i] ? pressRatio * weight : weight));
}

/** Reads the signs of the gaps; a gap within this of zero (mm) keeps the sign it had. */
export const SIGN_BAND = 1e-13;

/** @returns whether any sign changed. */
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

/** Energy ½ Σ w·k·g² of gaps on springs, mm³. */
export function energy(gap: Float64Array, spring: Float64Array): number {
  return gap.reduce((sum, g, i) => sum + 0.5 * spring[i]! * g * g, 0);
}

/** Gradient of the energy by the poses. */
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

/** A rest is accepted when its forces balance to this share of their sizes. */
const BALANCED = 1e-6;

/** A rest is sought until no gap would change by more than this, mm. */
export const STILL = 1e-10;
/** A gap is known to this share of the largest coordinate: rounding. */
const GAP_ROUNDING = 1e-14;

/**
 * Largest component of the gradient as a share of the sizes of the forces that make it up, each gap taken as large enough for what it may still be off
 * by to pass as balanced: in a cell with next to no errors the forces are nothing else.
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
 * The rest found, if its forces balance.
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

/** Hessian of the energy, row-major; with `curved`, the second derivatives of the gaps are part of it. */
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

/** Derivatives of one gap by the poses it depends on, written to `slopes` with their places; returns how many. */
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
 * A direction counts as free when what is left of it, after the directions already held are taken out, falls below this share.
 * Rounding leaves about 1e-15; the slackest sound cell (a 10 m opening of 0.1 mm strips) 1e-5.
 */
const FREE = 1e-10;

/**
 * A body that can slide or turn without any pressed probe feeling it, to first order; `null` when all are held.
 * Gram–Schmidt over the gaps' derivatives, the largest remainder first: unlike the pivots of the energy's matrix this does not depend on how the cell is turned.
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

/** Derivatives of every pressed gap by each coordinate of the poses. */
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
