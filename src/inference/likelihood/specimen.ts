import { rowTimes } from "../../core/numeric/dense.js";
import { mitreShare } from "../../model/cell/asanoha-square.js";
import type { BenchName } from "../../model/cell/benches.js";
import type { Cell } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { faceName } from "../../model/cell/face-id.js";
import type { Job } from "../../model/job/job.js";
import { jobBench, jobCell, leaningDepth } from "../../model/job/job-cell.js";
import type { Reading } from "../../model/readings.js";
import { jigOf, type Shop, setUpByGroup, setUpNamed } from "../../model/shop.js";
import { shopSources, sourceErrors } from "../../model/sources.js";
import { type CellReader, JobCells } from "./read-specimen.js";

/** What readings are taken on, a bench with a trial piece or the whole cell, and how its errors depend on the shared sources and the cut-to-cut errors. */
export interface Specimen {
  readonly key: string;
  readonly cell: Cell;
  /** @internal */
  readonly reader: CellReader;
  /** errors (rad and mm) = known + matrix · sources + cut-to-cut errors; row-major (error, source). */
  readonly matrix: Float64Array;
  /** What the known moves of its round have changed, rad and mm. */
  readonly known: Float64Array;
  /** Standard deviation of each elementary error from one cut (piece, grid) to the next. */
  readonly betweenCutSd: Float64Array;
}

/** The reader of a job's whole cell. */
export function jobCellReader(job: Job, cells: JobCells): CellReader {
  const { pattern, patternSizes } = job;
  const key = [pattern, JSON.stringify(patternSizes), leaningDepth(job)].join(" ");
  return cells.reader(key, () => jobCell(job));
}

export const shopOf = (job: Job): Shop => ({
  ...{ jigs: job.jigs, setUps: job.setUps, batchThickness: job.batchThickness },
  ...{ rounds: job.rounds, references: job.references },
  biases: job.instruments.flatMap(({ name, reads, bias, biasPriorSd }) =>
    bias === 0 && biasPriorSd === 0
      ? []
      : [{ instrument: name, bias, priorSd: biasPriorSd, angular: reads.includes("angle") }],
  ),
});

/** The round that the next cells will be cut in: the last. */
export const lastRound = (job: Job): string | null => job.rounds.at(-1)?.name ?? null;

/** The whole cell as a specimen, cut in a round (the last when not given); pieces measured by themselves are read on it too. */
export function cellSpecimen(
  job: Job,
  cells: JobCells = new JobCells(),
  round: string | null = lastRound(job),
): Specimen {
  const shop = shopOf(job);
  const reader = jobCellReader(job, cells);
  const { cell } = reader;
  return {
    key: `cell ${round ?? ""}`,
    ...{ cell, reader },
    ...sourceErrors(cell, shop, setUpByGroup(shop), round),
    betweenCutSd: betweenCutSdOf(job, cell, true),
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
    ...{ cell, reader },
    ...sourceErrors(cell, shopOf(job), (cut) => (cut.role === "square" ? undefined : setUp), round),
    betweenCutSd: betweenCutSdOf(job, cell, false),
  };
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
    // A job states how far a jig leans, not how that varies from cut to cut.
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
export const jobSources = (job: Job): ReturnType<typeof shopSources> => shopSources(shopOf(job));

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
    const { bench, setUp, round } = reading;
    const key =
      bench === "cell" || bench === "none" ? `cell ${round ?? ""}` : `${bench} ${setUp} ${round ?? ""}`;
    let group = groups.get(key);
    if (!group) {
      const specimen =
        bench === "cell" || bench === "none"
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

/**
 * Names the cut-to-cut error behind each elementary error of a specimen, so that readings of one piece share it wherever the piece was judged:
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
