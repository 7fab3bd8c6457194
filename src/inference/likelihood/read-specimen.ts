import { crossing, direction, dot, sub, turnedLeft } from "../../core/geometry.js";
import type { CutFace, Piece } from "../../model/cell/arrangement.js";
import { type Cell, facePlane, type Order, probesAt } from "../../model/cell/cell.js";
import { errorLayout, noErrors } from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { createKernel, type SeatingKernel } from "../../physics/kernel/seating-kernel.js";
import { cellModel } from "../../physics/predict/cell-model.js";
import { slopesAtPose, solveWithSlopes } from "../../physics/predict/equilibrium.js";
import { faceResponses, seatedStates } from "../../physics/predict/face-states.js";
import { SIGN_BAND, springs } from "../../physics/seating/energy.js";
import { gapSensitivity } from "../../physics/seating/gap-sensitivity.js";

/** What a reading would show, in its own unit (mm or rad), and its derivatives by the specimen's elementary errors. */
interface Expected {
  readonly value: number;
  readonly slopes: Float64Array;
}

type ReadAs = Pick<Job, "setUps" | "order" | "pressRatio">;

/** Reads a specimen with the given elementary errors: one expected value for each reading. */
export function readSpecimen(
  cell: Cell,
  errors: Float64Array,
  readings: readonly Reading[],
  job: ReadAs,
): Expected[] {
  const slopesOf = readings.some(({ what }) => what === "gap")
    ? gapSlopes(cell, errors, readings, job)
    : null;
  return readings.map((reading) => {
    if (slopesOf && reading.what === "gap") return slopesOf(reading);
    const { nominal, slopes } = linearReading(cell, reading, job);
    return { value: nominal + dotOf(slopes, errors), slopes };
  });
}

/** What each gap reading shows, with its slopes. */
function gapSlopes(
  cell: Cell,
  errors: Float64Array,
  readings: readonly Reading[],
  { order, pressRatio }: ReadAs,
): (reading: Reading) => Expected {
  if (order === "first") {
    const { gap, slopesOf } = linearGaps(cell, errors, pressRatio);
    return (reading) => {
      const probe = widestProbe(cell, reading, gap);
      return { value: gap[probe]!, slopes: slopesOf(probe) };
    };
  }
  // Values as `readValues` has them: a search along a step compares the two.
  const { gap, pose } = seatOne(cell, errors, { order, pressRatio });
  const gaps = readings.filter(({ what }) => what === "gap");
  const wanted = [...new Set(gaps.map((reading) => widestProbe(cell, reading, gap)))];
  const [model, options] = [cellModel(cell), { order, pressRatio, wanted: () => wanted }];
  const { slopes } =
    pose === null
      ? solveWithSlopes(model, errors, options)
      : slopesAtPose(model, errors, seatedStates(cell, errors), pose, options);
  return (reading) => {
    const probe = widestProbe(cell, reading, gap);
    const row = wanted.indexOf(probe) * errors.length;
    return { value: gap[probe]!, slopes: slopes.subarray(row, row + errors.length) };
  };
}

/** The values of {@link readSpecimen} alone. */
export function readValues(
  cell: Cell,
  errors: Float64Array,
  readings: readonly Reading[],
  job: ReadAs,
): number[] {
  const gap = readings.some(({ what }) => what === "gap") ? seatOne(cell, errors, job).gap : null;
  return readings.map((reading) => {
    if (gap && reading.what === "gap") return gap[widestProbe(cell, reading, gap)]!;
    const { nominal, slopes } = linearReading(cell, reading, job);
    return nominal + dotOf(slopes, errors);
  });
}

function dotOf(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

const groupsOf = ({ setUps }: Pick<Job, "setUps">, { setUp }: Reading): readonly string[] =>
  setUps.find(({ name }) => name === setUp)?.cuts ?? [];

const meant = new WeakMap<Cell, Map<string, readonly number[]>>();

/** The probes that a gap reading may mean; found once for a cell. */
export function probesMeant(cell: Cell, { id, subject, at, side }: Reading): readonly number[] {
  const known = meant.get(cell) ?? new Map<string, readonly number[]>();
  meant.set(cell, known);
  const key = `${subject} ${at} ${side}`;
  let probes = known.get(key);
  if (!probes) {
    probes = probesAt(cell, { joint: subject, at, side });
    known.set(key, probes);
  }
  if (probes.length === 0) throw new RangeError(`Reading ${id}: ${cell.name} has no joint "${subject}".`);
  return probes;
}

/** The probe that a gap reading is of: the widest of those it may mean. */
const widestProbe = (cell: Cell, reading: Reading, gap: Float64Array): number =>
  probesMeant(cell, reading).reduce((a, b) => (gap[b]! > gap[a]! ? b : a));

interface LinearReading {
  readonly nominal: number;
  readonly slopes: Float64Array;
}

const linears = new WeakMap<Cell, Map<string, LinearReading>>();

/** Angles, lengths and thicknesses do not depend on how the pieces lie; lengths are taken to first order. Computed once for a cell. */
export function linearReading(cell: Cell, reading: Reading, job: Pick<Job, "setUps">): LinearReading {
  const groups = groupsOf(job, reading);
  const known = linears.get(cell) ?? new Map<string, LinearReading>();
  linears.set(cell, known);
  const key = `${reading.what} ${reading.subject} ${groups.join(" ")}`;
  let linear = known.get(key);
  if (!linear) {
    linear = newLinearReading(cell, reading, groups);
    known.set(key, linear);
  }
  return linear;
}

function newLinearReading(cell: Cell, reading: Reading, groups: readonly string[]): LinearReading {
  const layout = errorLayout(cell);
  const slopes = noErrors(cell);
  if (reading.what === "angle") {
    const { piece, face } = cutOf(cell, reading, groups);
    slopes[layout.indexOf("angle", piece.name, face)] = 1;
    return { nominal: piece.cuts.find((cut) => cut.face === face)!.jigAngle, slopes };
  }
  const piece = cell.pieces.find(({ name }) => name === reading.subject) ?? cell.pieces[0]!;
  if (reading.what === "thickness") {
    slopes[layout.indexOf("thickness", piece.name)] = 1;
    return { nominal: cell.strip, slopes };
  }
  addTip(cell, piece, 1, slopes);
  addTip(cell, piece, -1, slopes);
  return { nominal: piece.length, slopes };
}

/** The cut an angle was read on: `hinge-1.end-left`, or `end-left` of a trial piece, which stands for the first piece of the pattern with that face in its set-up. */
function cutOf(cell: Cell, reading: Reading, groups: readonly string[]): { piece: Piece; face: CutFace } {
  const subject = reading.subject ?? "";
  for (const piece of cell.pieces) {
    for (const { face, group } of piece.cuts) {
      if (subject === `${piece.name}.${face}` || (subject === face && groups.includes(group)))
        return { piece, face };
    }
  }
  throw new RangeError(`Reading ${reading.id}: there is no cut "${subject}" in ${cell.name}.`);
}

/** Adds how far the tip at one end moves outward along the axis by each elementary error. */
function addTip(cell: Cell, piece: Piece, end: -1 | 1, slopes: Float64Array): void {
  const own = cell.faces
    .map((face) => ({ face }))
    .filter(({ face }) => face.cut?.end === end && cell.pieces[face.body] === piece);
  const [a, b] = own;
  if (!a || !b) throw new RangeError(`${piece.name} has no tip between two cuts to measure its length to.`);
  const axis = direction(piece.axis);
  const tip = crossing(facePlane(a.face), facePlane(b.face));
  const normalA = direction(a.face.angle);
  const normalB = direction(b.face.angle);
  // The tip moves by d with n_a·d = h_a and n_b·d = h_b; what counts is d along the axis, outward.
  const det = normalA.x * normalB.y - normalA.y * normalB.x;
  const byA = (end * (axis.x * normalB.y - axis.y * normalB.x)) / det;
  const byB = (end * (axis.y * normalA.x - axis.x * normalA.y)) / det;
  for (const { face, error, angle, offset } of faceResponses(cell, noErrors(cell))) {
    const own = cell.faces[face];
    if (own !== a.face && own !== b.face) continue;
    const lateral = dot(turnedLeft(direction(own.angle)), sub(tip, own.origin));
    slopes[error]! += (own === a.face ? byA : byB) * (offset - angle * lateral);
  }
}

/** Gaps at rest at first order, and how they answer to the elementary errors. */
interface LinearGaps {
  readonly gap: Float64Array;
  /** Derivatives of a probe's gap by every elementary error. */
  slopesOf(probe: number): Float64Array;
}

/** Regions that are remembered for each cell; the one met longest ago is forgotten. */
const MOST_REGIONS = 400;

/** Slopes by probe, of the errors under which the same probes are open and the same pressed: there the gaps are one linear map of the errors. */
type Region = Map<number, Float64Array>;

const regions = new WeakMap<Cell, Map<string, Region>>();

/**
 * Gaps at rest at first order. Slopes depend on which probes are pressed alone, and are worked out once for each probe that is asked for.
 *
 * @throws UserError (code "seating") when the pieces find no rest.
 */
export function linearGaps(cell: Cell, errors: Float64Array, pressRatio: number): LinearGaps {
  const { gap } = seatOne(cell, errors, { order: "first", pressRatio });
  // A gap of zero to rounding counts as open.
  const pressed = Uint8Array.from(gap, (g) => (g < -SIGN_BAND ? 1 : 0));
  const region = remembered(cell, `${pressRatio} ${pressed.join("")}`);
  return {
    gap,
    slopesOf(probe) {
      const known = region.get(probe) ?? slopesAt(cell, gap, pressed, pressRatio, probe);
      region.set(probe, known);
      return known;
    },
  };
}

function remembered(cell: Cell, key: string): Region {
  const known = regions.get(cell) ?? new Map<string, Region>();
  regions.set(cell, known);
  const region = known.get(key) ?? new Map<number, Float64Array>();
  known.delete(key);
  known.set(key, region);
  if (known.size > MOST_REGIONS) known.delete(known.keys().next().value!);
  return region;
}

function slopesAt(
  cell: Cell,
  gap: Float64Array,
  pressed: Uint8Array,
  pressRatio: number,
  probe: number,
): Float64Array {
  const { seating, nominal, responses, direct } = cellModel(cell);
  const columns = direct.length / gap.length;
  const at = { gap, moves: nominal.moves };
  return gapSensitivity(seating, at, springs(seating, pressed, pressRatio), responses, columns, false, [
    probe,
  ]);
}

const kernels = new WeakMap<Cell, Map<string, SeatingKernel>>();

/** The kernel that seats a cell, compiled once for each order and press ratio; a kernel may not be in use in two places at a time. */
export function keptKernel(cell: Cell, order: Order, pressRatio: number): SeatingKernel {
  const known = kernels.get(cell) ?? new Map<string, SeatingKernel>();
  kernels.set(cell, known);
  const key = `${order} ${pressRatio}`;
  const kernel = known.get(key) ?? createKernel(cellModel(cell), { order, pressRatio });
  known.set(key, kernel);
  return kernel;
}

/** One cell at rest. */
interface Seated {
  /** mm, in the order of `cellModel`. */
  readonly gap: Float64Array;
  /** x and y (mm) and turn (rad) of each body; `null` where they are not at hand. */
  readonly pose: Float64Array | null;
}

/**
 * Brings one cell with the given elementary errors (rad and mm) to rest.
 *
 * @throws UserError (code "seating") when the pieces find no rest.
 */
function seatOne(
  cell: Cell,
  errors: Float64Array,
  { order, pressRatio }: { readonly order: Order; readonly pressRatio: number },
): Seated {
  const kernel = keptKernel(cell, order, pressRatio);
  kernel.drawsOf(0).set(errors);
  kernel.seat(1);
  const gap = cellModel(cell).seating.weight.map((_, probe) => kernel.gap(0, probe));
  return { gap, pose: kernel.pose(0) };
}
