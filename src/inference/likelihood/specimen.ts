import { at, rowTimes } from "../../core/numeric/dense.js";
import type { Cut } from "../../model/cell/arrangement.js";
import { mitreShare } from "../../model/cell/asanoha-square.js";
import type { BenchName } from "../../model/cell/benches.js";
import type { Cell } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { faceName } from "../../model/cell/face-id.js";
import type { Job } from "../../model/job/job.js";
import { jobBench, jobCell, jobShop, leaningDepth } from "../../model/job/job-cell.js";
import type { Reading } from "../../model/readings.js";
import { jigOf, type SetUp, setUpByGroup, setUpNamed } from "../../model/shop.js";
import { fenceShift, shopSources, sourceErrors } from "../../model/sources.js";
import { type CellReader, JobCells } from "./read-specimen.js";

/** The object that readings are taken on (a bench with a trial piece, or the whole cell), and how its errors depend on the shared sources and the cut-to-cut errors. */
export interface Specimen {
  readonly key: string;
  readonly cell: Cell;
  /** @internal */
  readonly reader: CellReader;
  /** errors (rad and mm) = known + matrix · sources + cut-to-cut errors; row-major (error, source). */
  readonly matrix: Float64Array;
  /** Changes of the elementary errors by the known moves of its round, rad and mm. */
  readonly known: Float64Array;
  /** Standard deviation of each elementary error from one cut (piece, grid) to the next. */
  readonly betweenCutSd: Float64Array;
  /** Effect of a piece's thickness on its own cuts if the jig's fence bears on one side of the bevel: error `to` grows by `factor` times the piece's own error `from`. */
  readonly carried: readonly CarriedError[];
}

/** The ratio by which one elementary error of a piece adds to another. */
export interface CarriedError {
  readonly from: number;
  readonly to: number;
  readonly factor: number;
}

/** The reader of a job's whole cell. */
export function jobCellReader(job: Job, cells: JobCells): CellReader {
  const { pattern, patternSizes } = job;
  const key = [pattern, JSON.stringify(patternSizes), leaningDepth(job)].join(" ");
  return cells.reader(key, () => jobCell(job));
}

/** The round in which the next cells will be cut: the last one. */
export const lastRound = (job: Job): string | null => job.rounds.at(-1)?.name ?? null;

/** The whole cell as a specimen, cut in a round (the last one by default); pieces measured by themselves are read on it too. */
export function cellSpecimen(
  job: Job,
  cells: JobCells = new JobCells(),
  round: string | null = lastRound(job),
): Specimen {
  const shop = jobShop(job);
  const reader = jobCellReader(job, cells);
  const { cell } = reader;
  return {
    key: `cell ${round ?? ""}`,
    cell,
    reader,
    ...sourceErrors(cell, shop, setUpByGroup(shop), round),
    betweenCutSd: betweenCutSdOf(job, cell, true),
    carried: carriedErrors(job, cell, setUpByGroup(job)),
  };
}

/** The jigs themselves in a round: the whole cell's cuts as the ramps and stops would make them, without cut-to-cut errors. */
export function jigSpecimen(job: Job, cells: JobCells, round: string | null): Specimen {
  const specimen = cellSpecimen(job, cells, round);
  return {
    ...specimen,
    key: `jigs ${round ?? ""}`,
    betweenCutSd: new Float64Array(specimen.betweenCutSd.length),
  };
}

/** A trial piece cut at one set-up in a round, on a bench. */
export function benchSpecimen(
  job: Job,
  bench: BenchName,
  setUpName: string,
  round: string | null = null,
  cells: JobCells = new JobCells(),
): Specimen {
  const setUp = setUpNamed(job, setUpName);
  const jig = jigOf(job, setUp);
  const share = mitreShare(job.arrangement, setUp.cuts);
  const key = [bench, job.strip, jig.ramp, share, leaningDepth(job)].join(" ");
  const reader = cells.reader(key, () => compileCell(jobBench(job, bench, setUp)));
  const { cell } = reader;
  return {
    key: `${bench} ${setUpName} ${round ?? ""}`,
    cell,
    reader,
    ...sourceErrors(cell, jobShop(job), (cut) => (cut.role === "square" ? undefined : setUp), round),
    betweenCutSd: betweenCutSdOf(job, cell, false),
    carried: carriedErrors(job, cell, () => setUp),
  };
}

/** Effect of each piece's own thickness on the position of its cuts (the fence rule). */
function carriedErrors(job: Job, cell: Cell, setUpOf: (cut: Cut) => SetUp | undefined): CarriedError[] {
  const layout = errorLayout(cell);
  return cell.pieces.flatMap(({ name, cuts }) =>
    cuts.flatMap((cut): CarriedError[] => {
      const setUp = cut.role === "square" ? undefined : setUpOf(cut);
      const factor = setUp ? fenceShift(jigOf(job, setUp).fence, cut.jigAngle) : 0;
      if (factor === 0) return [];
      const [from, to] = [layout.indexOf("thickness", name), layout.indexOf("axial", name, cut.face)];
      return [{ from, to, factor }];
    }),
  );
}

/** Adds the cut-to-cut errors of every cut, piece and wall, computed from standard normals, one for each elementary error; both arrays are read from index `start`. */
export function addOwnErrors(
  { betweenCutSd, carried }: Pick<Specimen, "betweenCutSd" | "carried">,
  normals: Float64Array,
  errors: Float64Array,
  start = 0,
): void {
  for (let e = 0; e < betweenCutSd.length; e++) errors[start + e]! += betweenCutSd[e]! * normals[start + e]!;
  for (const { from, to, factor } of carried)
    errors[start + to]! += factor * betweenCutSd[from]! * normals[start + from]!;
}

/** Slopes of a reading with respect to the cut-to-cut errors, from those with respect to the elementary errors. */
export function ownSlopes({ carried }: Pick<Specimen, "carried">, slopes: Float64Array): Float64Array {
  if (carried.length === 0) return slopes;
  const own = slopes.slice();
  for (const { from, to, factor } of carried) own[from] = at(own, from) + factor * at(slopes, to);
  return own;
}

/** Between-cut standard deviations of all elementary errors; a cell's walls vary with its grid, a bench's are fixed. */
function betweenCutSdOf(job: Job, cell: Cell, grid: boolean): Float64Array {
  const { angle, length, thickness } = job.betweenCutSd;
  const squareCuts = new Set(
    cell.pieces.flatMap(({ name: owner, cuts }) =>
      cuts.filter(({ role }) => role === "square").map(({ face }) => faceName({ owner, face })),
    ),
  );
  return Float64Array.from(errorLayout(cell).entries, ({ kind, owner, face }) => {
    if (squareCuts.has(faceName({ owner, face }))) return 0;
    if (kind === "angle") return angle;
    if (kind === "axial") return length;
    if (kind === "thickness") return thickness;
    // A job states how far a jig leans, but not how the lean varies from cut to cut.
    if (kind === "lean") return 0;
    if (!grid) return 0;
    return kind === "turn" ? job.grid.turn : job.grid.offset;
  });
}

/**
 * The error sources of a job's shop, in a fixed order.
 *
 * @example
 * jobSources(job).length // 8
 */
export const jobSources = (job: Job): ReturnType<typeof shopSources> => shopSources(jobShop(job));

/** Readings of one specimen, with their places in the list they came from. */
export interface SpecimenReadings {
  readonly specimen: Specimen;
  readonly readings: readonly Reading[];
  readonly places: readonly number[];
}

/** Groups readings by the specimen they were taken on. */
export function groupReadings(
  job: Job,
  readings: readonly Reading[],
  cells: JobCells = new JobCells(),
): SpecimenReadings[] {
  const groups = new Map<string, { specimen: Specimen; readings: Reading[]; places: number[] }>();
  for (const [place, reading] of readings.entries()) {
    const { bench, setUp, round, what } = reading;
    const whole = bench === "cell" || bench === "none";
    const name = what === "ramp" ? "jigs" : whole ? "cell" : `${bench} ${setUp}`;
    const key = `${name} ${round ?? ""}`;
    let group = groups.get(key);
    if (!group) {
      const specimen =
        what === "ramp"
          ? jigSpecimen(job, cells, round)
          : whole
            ? cellSpecimen(job, cells, round)
            : benchSpecimen(job, bench, setUp ?? "", round, cells);
      group = { specimen, readings: [], places: [] };
      groups.set(key, group);
    }
    group.readings.push(reading);
    group.places.push(place);
  }
  return [...groups.values()];
}

/** Elementary errors of a specimen from the shared sources and known moves alone. */
export function errorsFrom({ matrix, known }: Specimen, sources: Float64Array): Float64Array {
  return known.map((moved, row) => rowTimes(matrix, row, sources.length, sources, moved));
}

/** Returns a function that writes {@link errorsFrom} of the `p` sources at index `from` of one array to index `to` of another. Most errors depend on few sources, so zeros are skipped, which pays for many draws. */
export function sharedErrors({ matrix, known }: Pick<Specimen, "matrix" | "known">, p: number) {
  const [ends, columns, shares]: [number[], number[], number[]] = [[], [], []];
  for (const e of known.keys()) {
    for (let c = 0; c < p; c++) {
      const share = at(matrix, e * p + c);
      if (share === 0) continue;
      columns.push(c);
      shares.push(share);
    }
    ends.push(columns.length);
  }
  const [end, column, share] = [Int32Array.from(ends), Int32Array.from(columns), Float64Array.from(shares)];
  return (sources: Float64Array, from: number, out: Float64Array, to: number): void => {
    let i = 0;
    for (let e = 0; e < end.length; e++) {
      let sum = known[e]!;
      for (; i < end[e]!; i++) sum += share[i]! * sources[from + column[i]!]!;
      out[to + e] = sum;
    }
  };
}

/**
 * Names the cut-to-cut error behind each elementary error of a specimen, so that all readings of one piece share it, no matter where the piece was read:
 * the left cut of a trial piece is the same cut in a corner, on a straightedge and under an angle gauge.
 */
export function cutToCutNames(job: Job, { specimen }: SpecimenReadings, reading: Reading): string[] {
  const { cell } = specimen;
  const { trial, setUp, bench } = reading;
  const single = bench !== "cell" && setUp !== null && (bench === "none" || cell.pieces.length === 1);
  const groups = job.setUps.find(({ name }) => name === setUp)?.cuts ?? [];
  const tried = cell.pieces.find(({ cuts }) => cuts.some(({ group }) => groups.includes(group)))?.name;
  return errorLayout(cell).entries.map(({ kind, owner, face }) => {
    const ofTrial = single && (bench !== "none" || owner === tried);
    if (!ofTrial) return `${trial}/${faceName({ owner, face })} ${kind}`;
    if (face === undefined) return `${trial}/piece ${kind}`;
    const cuts = triedCuts(cell, owner, bench === "none" ? groups : null);
    // The only cut of a set-up is the same cut whichever side it faces on the bench.
    const cut = !cuts.includes(face) ? face : cuts.length === 1 ? "cut" : face.split("-")[1];
    return `${trial}/${cut} ${kind}`;
  });
}

/** The cuts under trial of a piece: those of the set-up's groups, or on a bench all but its square ends. */
function triedCuts(
  cell: SpecimenReadings["specimen"]["cell"],
  owner: string,
  groups: readonly string[] | null,
): string[] {
  const cuts = cell.pieces.find(({ name }) => name === owner)?.cuts ?? [];
  return cuts
    .filter(({ role, group }) => (groups === null ? role !== "square" : groups.includes(group)))
    .map(({ face }) => face);
}
