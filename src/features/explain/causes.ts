import { UserError } from "../../core/errors.js";
import { addScaled, at, present } from "../../core/numeric/dense.js";
import type { JobCells } from "../../inference/likelihood/read-specimen.js";
import { instrumentVariance } from "../../inference/likelihood/reading-likelihood.js";
import {
  cellSpecimen,
  errorsFrom,
  jobCellReader,
  jobSources,
  type Specimen,
} from "../../inference/likelihood/specimen.js";
import type { Cut } from "../../model/cell/arrangement.js";
import { type Cell, probesAt } from "../../model/cell/cell.js";
import {
  errorLayout,
  noErrors,
  rackedGrid,
  sideByOffset,
  smallerSide,
} from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { type Fence, type SetUp, setUpNamed } from "../../model/shop.js";
import type { GridId, OffCentreId, SourceId } from "../../model/source-id.js";
import { priorMeans } from "../../model/sources.js";

/**
 * What may have made the cells: nothing but what every shop has, the scatter from cut to cut; one cause on top of it; or several at once.
 * Its unknowns are standard normals: for each cell its cut-to-cut errors, and last of all the size of each cause.
 */
export interface Hypothesis {
  readonly causes: readonly Cause[];
  /** How many unknowns there are. */
  readonly unknowns: number;
  /** Elementary errors of cell number `cell`, rad and mm, from the unknowns. */
  errorsOf(cell: number, unknowns: Float64Array, out: Float64Array): void;
  /** ∂error/∂unknown in each cell: of its own cut-to-cut errors, and of each cause's size. */
  readonly slopes: readonly { readonly scatter: Float64Array; readonly byCause: readonly Float64Array[] }[];
  /** The size of each cause, rad or mm. */
  sizesOf(unknowns: Float64Array): Float64Array;
}

/** What is expected of a specimen with nothing wrong: what the known moves have changed, and what a record leads to expect. */
export const usualErrors = (job: Job, specimen: CellRead["specimen"]): Float64Array =>
  errorsFrom(specimen, priorMeans(jobSources(job)));

export function hypothesisOf(
  job: Job,
  causes: readonly Cause[],
  cells: readonly Pick<CellRead, "specimen">[],
): Hypothesis {
  const own = at(cells, 0).specimen.betweenCutSd.length;
  const last = cells.length * own;
  const usual = cells.map(({ specimen }) => usualErrors(job, specimen));
  const slopes = cells.map(({ specimen }) => ({
    scatter: specimen.betweenCutSd,
    byCause: causes.map(({ on, priorSd }) => on(specimen).map((slope) => slope * priorSd)),
  }));
  return {
    ...{ causes, slopes },
    unknowns: last + causes.length,
    errorsOf(cell, unknowns, out) {
      const { scatter, byCause } = at(slopes, cell);
      const base = at(usual, cell);
      for (let e = 0; e < own; e++) out[e] = at(base, e) + at(scatter, e) * at(unknowns, cell * own + e);
      for (const [k, direction] of byCause.entries()) addScaled(out, direction, at(unknowns, last + k));
    },
    sizesOf: (unknowns) =>
      Float64Array.from(causes, ({ priorMean, priorSd }, k) => priorMean + priorSd * at(unknowns, last + k)),
  };
}

/** One thing that may be wrong in a cell, by itself. */
export interface Cause {
  readonly id: SourceId | GridId | OffCentreId;
  /** Of the thickness: where every jig's fence is taken to bear; left out, as the job says. */
  readonly fence?: Fence;
  readonly measure: "angle" | "length";
  /** Standard deviation of its size before anything was seen, rad or mm. */
  readonly priorSd: number;
  /** Mean of its size before anything was seen, rad or mm; 0 unless a record of earlier jobs says otherwise. */
  readonly priorMean: number;
  /** Change of each elementary error of a cell, or of a trial piece on a bench, rad and mm, by a cause of size 1 (lay-out of `errorLayout`). */
  readonly on: (specimen: Specimen) => Float64Array;
  /** What a size above zero is called in the shop, and one below. */
  readonly says: readonly [more: string, less: string];
}

/** An assembled cell with the gaps seen in it. */
export interface CellRead {
  readonly trial: string;
  /** The cell as its round was cut; all cells of a job share one lay-out. */
  readonly specimen: Specimen;
  readonly readings: readonly Reading[];
  /** Indices of the probes that each reading may be of: it reads the widest of them. */
  readonly probes: readonly (readonly number[])[];
  /** Bias of each reading's instrument, mm, and the standard deviation that it adds: repeatability, step, and what is not known of the bias. */
  readonly bias: Float64Array;
  readonly noise: Float64Array;
  /** Indices of the readings in the order in which their likelihoods are multiplied: those that something goes into come first, they rule out most. */
  readonly order: readonly number[];
}

/**
 * The gaps read in assembled cells, cell by cell; readings of trial pieces on benches are left out.
 *
 * @throws UserError (code "explanation") when there are none.
 */
export function cellsRead(job: Job, cells: JobCells, readings: readonly Reading[]): CellRead[] {
  const { cell } = jobCellReader(job, cells);
  const own = readings.filter(({ bench, what }) => bench === "cell" && what === "gap");
  if (own.length === 0) {
    throw new UserError(
      "explanation",
      `There is nothing to explain: an explanation needs gaps read in an assembled cell; of ${readings.length} readings none has the bench “cell”. Write for example: ${exampleRow(cell, job)}`,
    );
  }
  const instruments = new Map(job.instruments.map((instrument) => [instrument.name, instrument]));
  return [...new Set(own.map(({ trial }) => trial))].map((trial) => {
    const list = own.filter((reading) => reading.trial === trial);
    const tools = list.map(({ instrument }) => present(instruments.get(instrument)));
    return {
      ...{ trial, readings: list, order: mostTellingFirst(list) },
      specimen: cellSpecimen(job, cells, at(list, 0).round),
      probes: list.map((reading) => probesOf(cell, reading)),
      bias: Float64Array.from(tools, ({ bias }) => bias),
      noise: Float64Array.from(list, (reading, i) =>
        Math.sqrt(instrumentVariance(at(tools, i), reading) + at(tools, i).biasPriorSd ** 2),
      ),
    };
  });
}

function mostTellingFirst(readings: readonly Reading[]): number[] {
  const open = readings.map(({ value, low }) => Math.max(-1, value ?? low ?? -1));
  return [...readings.keys()].sort((a, b) => at(open, b) - at(open, a));
}

/** The probes of a cell that a gap reading may be of. */
export const probesOf = (
  cell: Cell,
  { subject, at, side }: Pick<Reading, "subject" | "at" | "side">,
): number[] => probesAt(cell, { joint: subject, at, side });

/** Whether a reading only says that nothing goes in; a joint known to be pressed says more. */
export const nothingGoesIn = ({ value, low, high }: Reading): boolean =>
  value === null && low === Number.NEGATIVE_INFINITY && high! >= 0;

/** A joint of a cell to give as an example: two pieces' where there is one. */
export const exampleJoint = ({ joints, faces }: Cell): string =>
  (joints.find(({ mate }) => at(faces, mate).kind === "cut") ?? at(joints, 0)).name;

/** A row of trials.csv that reads a gap in an assembled cell of this job, with an instrument that it has. */
export function exampleRow(cell: Cell, { instruments }: Pick<Job, "instruments">): string {
  const feeler = instruments.find(({ reads }) => reads.includes("gap"))?.name ?? "feeler";
  return `c1,1,,,cell,${exampleJoint(cell)},gap,widest,,0.05,0.1,mm,${feeler},`;
}

/** What may be a cause beside the job's own sources. */
export interface CauseOptions {
  /** Standard deviation of how far a point may stand off its strip's middle, mm; the job file has no such tolerance, so points are taken as centred unless this is given. */
  readonly offCentre?: number;
}

/**
 * Every single cause that the job's tolerances leave room for: the shared sources that act on a cell, the grid racked, the opening out of size, and on request points off centre.
 * Their spreads are the job's own; what is trusted to 0 is no cause.
 */
export function singleCauses(job: Job, specimen: Specimen, { offCentre = 0 }: CauseOptions = {}): Cause[] {
  const sources = jobSources(job);
  const fromSources = sources.flatMap((source, column): Cause[] => {
    const { id, angular, priorSd, priorMean = 0 } = source;
    if (id.kind === "reference" || id.kind === "bias") return [];
    const on = ({ matrix, betweenCutSd }: Specimen): Float64Array =>
      betweenCutSd.map((_, row) => at(matrix, row * sources.length + column));
    const measure = angular ? "angle" : "length";
    return [{ ...{ id, measure, priorSd, priorMean, on }, says: saysOf(job, specimen.cell, id) }];
  });
  return [
    ...fromSources,
    ...gridCauses(job, specimen.cell),
    ...offCentreCauses(specimen.cell, offCentre),
  ].filter(({ priorSd, on }) => priorSd > 0 && on(specimen).some((slope) => slope !== 0));
}

const SAYS = {
  ramp: ["ramp cuts a sharper point than its label", "ramp cuts a blunter point than its label"],
  lean: ["ramp leaning outward at the front", "ramp leaning outward at the back"],
  thickness: ["strips thicker than nominal", "strips thinner than nominal"],
  stop: ["pieces too long", "pieces too short"],
} as const;

const MOVE_SAYS = ["moved further up than was meant", "moved less far up than was meant"] as const;

function saysOf(job: Job, cell: Cell, { kind, of, round }: SourceId): Cause["says"] {
  if (round !== undefined) return MOVE_SAYS;
  if (kind === "stop" && cutsAt(cell, setUpNamed(job, of)).every(({ role }) => role === "seat"))
    return ["seat not deep enough", "seat taken too deep"];
  return SAYS[kind as keyof typeof SAYS];
}

const cutsAt = ({ pieces }: Cell, { cuts: groups }: SetUp): Cut[] =>
  pieces.flatMap(({ cuts }) => cuts.filter(({ group }) => groups.includes(group)));

const RACKED: GridId = { kind: "grid", of: "racking" };
const OUT_OF_SIZE: GridId = { kind: "grid", of: "opening" };

/** A racked square turns its upright strips one way and its level ones the other, about their middles; the benches for trial pieces have no grid. */
function gridCauses({ grid }: Job, cell: Cell): Cause[] {
  return [
    {
      ...{ id: RACKED, measure: "angle", priorSd: grid.turn, priorMean: 0 },
      on: ({ cell }) => rackedGrid(cell),
      says: ["upright strips turned counter-clockwise", "upright strips turned clockwise"],
    },
    {
      ...{ id: OUT_OF_SIZE, measure: "length", priorMean: 0 },
      priorSd: grid.offset * sideByOffset(cell),
      on: ({ cell: own }) => smallerSide(own),
      says: ["clear side of the opening too small", "clear side of the opening too large"],
    },
  ];
}

/** A point whose tip stands c to the left of the middle: its left cut reaches c·tan J further, its right cut as much less. */
function offCentreCauses(cell: Cell, priorSd: number): Cause[] {
  // Both cuts of a point made alike: elsewhere the two stops say where the tip lies.
  const points = cell.pieces.flatMap(({ cuts }) =>
    cuts.filter((cut) => cut.role === "point" && cuts.some((one) => one !== cut && one.group === cut.group)),
  );
  return [...new Set(points.map(({ group }) => group))].map((group): Cause => {
    const on = (specimen: Specimen): Float64Array => {
      const direction = noErrors(specimen.cell);
      const { indexOf } = errorLayout(specimen.cell);
      for (const { name, cuts } of specimen.cell.pieces) {
        for (const { face, side, jigAngle } of cuts.filter((cut) => cut.group === group)) {
          direction[indexOf("axial", name, face)] = side * Math.tan(jigAngle);
        }
      }
      return direction;
    };
    return {
      ...{ id: { kind: "off-centre", of: group }, measure: "length", priorMean: 0, priorSd, on },
      says: ["point left of the middle", "point right of the middle"],
    };
  });
}
