import { crossing, direction, dot, sub, turnedLeft } from "../../core/geometry.js";
import { at, innerProduct, rowOf } from "../../core/numeric/dense.js";
import type { Piece } from "../../model/cell/arrangement.js";
import { type Cell, type Face, facePlane, type Order, probesAt } from "../../model/cell/cell.js";
import { errorLayout, noErrors } from "../../model/cell/cell-errors.js";
import { faceName } from "../../model/cell/face-id.js";
import { cutsAtEnd, shoulderCorners } from "../../model/cell/shoulder.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { type FittingStep, fittingPlan } from "../../physics/fitting/fitting-plan.js";
import { type CellSeater, createSeater } from "../../physics/kernel/fitted-kernel.js";
import { createKernel, type SeatingKernel } from "../../physics/kernel/seating-kernel.js";
import { type CellModel, cellModel } from "../../physics/predict/cell-model.js";
import { slopesAtPose, solveWithSlopes } from "../../physics/predict/equilibrium.js";
import { faceResponses, seatedStates } from "../../physics/predict/face-states.js";
import { SIGN_BAND, springs } from "../../physics/seating/energy.js";
import { gapSensitivity } from "../../physics/seating/gap-sensitivity.js";

/** Expected value of a reading in its own unit (mm or rad), and its derivatives with respect to the specimen's elementary errors. */
interface Expected {
  readonly value: number;
  readonly slopes: Float64Array;
}

type ReadAs = Pick<Job, "setUps" | "order" | "pressRatio">;

/** Reads a specimen with the given elementary errors: one expected value for each reading. */
export function readSpecimen(
  reader: CellReader,
  errors: Float64Array,
  readings: readonly Reading[],
  job: ReadAs,
): Expected[] {
  const slopesOf = readings.some(({ what }) => what === "gap")
    ? gapSlopes(reader, errors, readings, job)
    : null;
  return readings.map((reading) => {
    if (slopesOf && reading.what === "gap") return slopesOf(reading);
    const { nominal, slopes } = reader.linear(reading, job);
    return { value: nominal + innerProduct(slopes, errors), slopes };
  });
}

/** Expected value of each gap reading, with its slopes. */
function gapSlopes(
  reader: CellReader,
  errors: Float64Array,
  readings: readonly Reading[],
  { order, pressRatio }: ReadAs,
): (reading: Reading) => Expected {
  if (order === "first") {
    const { gap, slopesOf } = reader.linearGaps(errors, pressRatio);
    return (reading) => {
      const probe = widestProbe(reader, reading, gap);
      return { value: at(gap, probe), slopes: slopesOf(probe) };
    };
  }
  // Values are computed as in `readValues`, because a line search compares the two.
  const { gap, pose } = reader.seatOne(errors, { order, pressRatio });
  const gaps = readings.filter(({ what }) => what === "gap");
  const wanted = [...new Set(gaps.map((reading) => widestProbe(reader, reading, gap)))];
  const [model, options] = [reader.model, { order, pressRatio, wanted: () => wanted }];
  const { slopes } =
    pose === null
      ? solveWithSlopes(model, errors, options)
      : slopesAtPose(model, errors, seatedStates(model, errors), pose, options);
  return (reading) => {
    const probe = widestProbe(reader, reading, gap);
    return { value: at(gap, probe), slopes: rowOf(slopes, wanted.indexOf(probe), errors.length) };
  };
}

/** The values of {@link readSpecimen} without derivatives. */
export function readValues(
  reader: CellReader,
  errors: Float64Array,
  readings: readonly Reading[],
  job: ReadAs,
): number[] {
  const gap = readings.some(({ what }) => what === "gap") ? reader.seatOne(errors, job).gap : null;
  return readings.map((reading) => {
    if (gap && reading.what === "gap") return at(gap, widestProbe(reader, reading, gap));
    const { nominal, slopes } = reader.linear(reading, job);
    return nominal + innerProduct(slopes, errors);
  });
}

/** The groups of cuts that a reading can refer to: those of its set-up, or of every set-up on the jig whose ramp was read. */
const groupsOf = ({ setUps }: Pick<Job, "setUps">, { setUp, what, subject }: Reading): readonly string[] =>
  what === "ramp"
    ? setUps.flatMap(({ jig, cuts }) => (jig === subject ? cuts : []))
    : (setUps.find(({ name }) => name === setUp)?.cuts ?? []);

/** The probe that a gap reading refers to: the one with the widest gap among the possible ones. */
const widestProbe = (reader: CellReader, reading: Reading, gap: Float64Array): number =>
  reader.probesMeant(reading).reduce((a, b) => (at(gap, b) > at(gap, a) ? b : a));

interface LinearReading {
  readonly nominal: number;
  readonly slopes: Float64Array;
}

/** A reading of a piece or a jig by itself: its nominal value and the errors it depends on. A gap is read in a seated cell instead. */
function newLinearReading(cell: Cell, reading: Reading, groups: readonly string[]): LinearReading {
  const layout = errorLayout(cell);
  const slopes = noErrors(cell);
  const piece = cell.pieces.find(({ name }) => name === reading.subject) ?? at(cell.pieces, 0);
  switch (reading.what) {
    case "angle":
    case "ramp": {
      const { piece: owner, cut } = cutOf(cell, reading, groups);
      slopes[layout.indexOf("angle", owner.name, cut.face)] = 1;
      return { nominal: cut.jigAngle, slopes };
    }
    case "thickness":
      slopes[layout.indexOf("thickness", piece.name)] = 1;
      return { nominal: cell.strip, slopes };
    case "length":
      addTip(cell, piece, 1, slopes);
      addTip(cell, piece, -1, slopes);
      return { nominal: piece.length, slopes };
    case "shoulder":
      return shoulderReading(cell, reading, slopes);
    case "gap":
      throw new RangeError(
        `Reading ${reading.id}: a gap is read in a seated cell, not of a piece by itself.`,
      );
    default:
      return notModelled(reading.what);
  }
}

/** Exhaustiveness check: the compiler reports an error here if a quantity has no case. */
function notModelled(what: never): never {
  throw new RangeError(`There is no model of a reading of ${String(what)}.`);
}

/**
 * The cut an angle was read on: `hinge-1.end-left`, or `end-left` of a trial piece, which stands for the first piece of the pattern with that face in its set-up.
 * For a ramp it is any cut made on its jig, because its specimen has no cut-to-cut errors.
 */
function cutOf(
  cell: Cell,
  reading: Reading,
  groups: readonly string[],
): { piece: Piece; cut: Piece["cuts"][number] } {
  const subject = reading.subject ?? "";
  for (const piece of cell.pieces) {
    for (const cut of piece.cuts) {
      const { face, group } = cut;
      const here = (subject === face || reading.what === "ramp") && groups.includes(group);
      if (here || subject === faceName({ owner: piece.name, face })) return { piece, cut };
    }
  }
  throw new RangeError(`Reading ${reading.id}: there is no cut "${subject}" in ${cell.name}.`);
}

/** Adds to `slopes` how far the tip at one end moves outward along the axis per unit of each elementary error. */
function addTip(cell: Cell, piece: Piece, end: -1 | 1, slopes: Float64Array): void {
  const [a, b] = cutsAtEnd(cell, cell.pieces.indexOf(piece), end);
  if (!a || !b) throw new RangeError(`${piece.name} has no tip between two cuts to measure its length to.`);
  addCorner(cell, piece, { end, a, b }, slopes);
}

/** The length of one side of a piece, between the corners at which the cuts of its two ends leave it. */
function shoulderReading(cell: Cell, { id, subject }: Reading, slopes: Float64Array): LinearReading {
  const side = cell.faces.find(({ kind, name }) => kind === "side" && name === subject);
  const piece = side && cell.pieces[side.body];
  if (!piece) throw new RangeError(`Reading ${id}: there is no side "${subject}" in ${cell.name}.`);
  let nominal = 0;
  for (const { end, face, out } of shoulderCorners(cell, side)) {
    nominal += out;
    addCorner(cell, piece, { end, a: side, b: face }, slopes);
  }
  return { nominal, slopes };
}

/** A corner of a piece: two of its faces, and the end of the piece that it is at. */
interface Corner {
  readonly end: -1 | 1;
  readonly a: Face;
  readonly b: Face;
}

/** Adds to `slopes` how far a corner moves outward along the piece's axis per unit of each elementary error. */
function addCorner(cell: Cell, piece: Piece, { end, a, b }: Corner, slopes: Float64Array): void {
  const axis = direction(piece.axis);
  const tip = crossing(facePlane(a), facePlane(b));
  const normalA = direction(a.angle);
  const normalB = direction(b.angle);
  // The tip moves by d with n_a·d = h_a and n_b·d = h_b; the component of d outward along the axis is used.
  const det = normalA.x * normalB.y - normalA.y * normalB.x;
  const byA = (end * (axis.x * normalB.y - axis.y * normalB.x)) / det;
  const byB = (end * (axis.y * normalA.x - axis.x * normalA.y)) / det;
  for (const { face, error, angle, offset } of faceResponses(cell, noErrors(cell))) {
    const own = cell.faces[face];
    if (own !== a && own !== b) continue;
    const lateral = dot(turnedLeft(direction(own.angle)), sub(tip, own.origin));
    slopes[error] = at(slopes, error) + (own === a ? byA : byB) * (offset - angle * lateral);
  }
}

/** Gaps at equilibrium at first order, and their derivatives with respect to the elementary errors. */
interface LinearGaps {
  readonly gap: Float64Array;
  /** Derivatives of a probe's gap with respect to every elementary error. */
  slopesOf(probe: number): Float64Array;
}

/** Number of regions kept for each cell; the least recently used is dropped. */
const MOST_REGIONS = 400;

/** Slopes of each probe in one region of the errors: as long as the same probes are open and the same pressed, the gaps are linear in the errors. */
type Region = Map<number, Float64Array>;

/** One cell in equilibrium. */
interface Seated {
  /** Gaps, mm, in the order of the model's probes. */
  readonly gap: Float64Array;
  /** x and y (mm) and rotation (rad) of each body; `null` if the kernel does not keep them. */
  readonly pose: Float64Array | null;
}

/** How cells are made: the order in which they are seated, and the limit to which their pieces are fitted by trial (as cut if there is none). */
export interface CellMaking {
  readonly order?: Order;
  readonly pressRatio: number;
  readonly snug?: number;
}

/**
 * A compiled cell with the results that are computed once for it: its model, the kernels that seat it, and how each reading depends on its errors.
 * It belongs to one computation, such as a fit. A kernel holds the cells of one batch, so results must be read before anything else is seated.
 */
export class CellReader {
  readonly cell: Cell;
  #model: CellModel | undefined;
  #plan: readonly FittingStep[] | undefined;
  readonly #kernels = new Map<string, SeatingKernel>();
  readonly #seaters = new Map<string, CellSeater>();
  readonly #probes = new Map<string, readonly number[]>();
  readonly #linear = new Map<string, LinearReading>();
  readonly #regions = new Map<string, Region>();

  constructor(cell: Cell) {
    this.cell = cell;
  }

  get model(): CellModel {
    this.#model ??= cellModel(this.cell);
    return this.#model;
  }

  /**
   * The steps in which its pieces are fitted by trial.
   *
   * @throws UserError (code "cell") when the cell has no order of fitting
   */
  get fittingPlan(): readonly FittingStep[] {
    this.#plan ??= fittingPlan(this.model);
    return this.#plan;
  }

  /** The kernel that seats the cell as cut; compiled once for each order and press ratio. */
  kernel(order: Order, pressRatio: number): SeatingKernel {
    const { model } = this;
    return kept(this.#kernels, `${order} ${pressRatio}`, () => createKernel(model, { order, pressRatio }));
  }

  /** The seater of the cell for the way it is made; pieces that are too short to be fitted stay as the stops have cut them. Order `first` by default. */
  seater({ order = "first", pressRatio, snug }: CellMaking): CellSeater {
    if (snug === undefined) return this.kernel(order, pressRatio);
    const { model } = this;
    return kept(this.#seaters, `${order} ${pressRatio} ${snug}`, () =>
      createSeater(model, { order, pressRatio, fitting: { snug, startsLong: false } }),
    );
  }

  /**
   * Seats one cell with the given elementary errors (rad and mm).
   *
   * @throws UserError (code "seating") when the pieces find no equilibrium
   */
  seatOne(errors: Float64Array, { order, pressRatio }: Pick<ReadAs, "order" | "pressRatio">): Seated {
    const kernel = this.kernel(order, pressRatio);
    kernel.drawsOf(0).set(errors);
    kernel.seat(1);
    return { gap: kernel.gapsOf(0).slice(), pose: kernel.pose(0) };
  }

  /**
   * The probes that a gap reading can refer to.
   *
   * @throws RangeError when the cell has no such joint
   */
  probesMeant({ id, subject, at, side }: Reading): readonly number[] {
    const { cell } = this;
    const probes = kept(this.#probes, `${subject} ${at} ${side}`, () =>
      probesAt(cell, { joint: subject, at, side }),
    );
    if (probes.length === 0) throw new RangeError(`Reading ${id}: ${cell.name} has no joint "${subject}".`);
    return probes;
  }

  /** A reading of a piece or a jig by itself; it does not depend on how the pieces are seated, and lengths are linearised. */
  linear(reading: Reading, job: Pick<Job, "setUps">): LinearReading {
    const groups = groupsOf(job, reading);
    const key = `${reading.what} ${reading.subject} ${groups.join(" ")}`;
    return kept(this.#linear, key, () => newLinearReading(this.cell, reading, groups));
  }

  /**
   * Gaps at equilibrium at first order. Slopes depend only on which probes are pressed, and are computed once for each requested probe.
   *
   * @throws UserError (code "seating") when the pieces find no equilibrium
   */
  linearGaps(errors: Float64Array, pressRatio: number): LinearGaps {
    const { gap } = this.seatOne(errors, { order: "first", pressRatio });
    // A gap that is zero up to rounding counts as open.
    const pressed = Uint8Array.from(gap, (g) => (g < -SIGN_BAND ? 1 : 0));
    const region = this.#region(`${pressRatio} ${pressed.join("")}`);
    const { model } = this;
    return {
      gap,
      slopesOf: (probe) => kept(region, probe, () => slopesAt(model, gap, pressed, pressRatio, probe)),
    };
  }

  #region(key: string): Region {
    const regions = this.#regions;
    const region = regions.get(key) ?? new Map<number, Float64Array>();
    regions.delete(key);
    regions.set(key, region);
    const [oldest] = regions.keys();
    if (regions.size > MOST_REGIONS && oldest !== undefined) regions.delete(oldest);
    return region;
  }
}

/** The value of a key, created on first use. */
function kept<Key, Value>(values: Map<Key, Value>, key: Key, make: () => Value): Value {
  const known = values.get(key);
  if (known !== undefined) return known;
  const value = make();
  values.set(key, value);
  return value;
}

function slopesAt(
  { seating, nominal, responses, direct }: CellModel,
  gap: Float64Array,
  pressed: Uint8Array,
  pressRatio: number,
  probe: number,
): Float64Array {
  const columns = direct.length / gap.length;
  const at = { gap, moves: nominal.moves };
  return gapSensitivity(seating, at, springs(seating, pressed, pressRatio), responses, columns, false, [
    probe,
  ]);
}

/** The cells that a job's readings are taken on, each compiled once. The owner of a computation creates one instance and passes it on. */
export class JobCells {
  readonly #readers = new Map<string, CellReader>();

  /** @internal */
  reader(key: string, compile: () => Cell): CellReader {
    return kept(this.#readers, key, () => new CellReader(compile()));
  }
}
