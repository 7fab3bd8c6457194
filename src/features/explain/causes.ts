import { at } from "../../core/numeric/dense.js";
import { jobSources, type Specimen } from "../../inference/likelihood/specimen.js";
import type { Cut } from "../../model/cell/arrangement.js";
import type { Cell } from "../../model/cell/cell.js";
import {
  errorLayout,
  noErrors,
  rackedGrid,
  sideByOffset,
  smallerSide,
} from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";
import { type Fence, type SetUp, setUpNamed } from "../../model/shop.js";
import type { GridId, OffCentreId, SourceId } from "../../model/source-id.js";

/** One thing that may be wrong in a cell, by itself. */
export interface Cause {
  readonly id: SourceId | GridId | OffCentreId;
  /** Only for the thickness: where every jig's fence is assumed to bear; if left out, as the job states. */
  readonly fence?: Fence;
  readonly measure: "angle" | "length";
  /** Prior standard deviation of its size, rad or mm. */
  readonly priorSd: number;
  /** Prior mean of its size, rad or mm; 0 unless a record of earlier jobs gives another. */
  readonly priorMean: number;
  /** Change of each elementary error of a cell, or of a trial piece on a bench, rad and mm, by a cause of size 1 (layout of `errorLayout`). */
  readonly on: (specimen: Specimen) => Float64Array;
  /** The shop's words for a positive size and for a negative one. */
  readonly says: readonly [more: string, less: string];
}

/** Possible causes in addition to the job's own sources. */
export interface CauseOptions {
  /** Standard deviation of a point's offset from the middle of its strip, mm; the job file has no such tolerance, so points are assumed to be centred unless this is given. */
  readonly offCentre?: number;
}

/**
 * Every single cause that the job's tolerances allow: the shared sources that act on a cell, a racked grid, an opening out of size and, on request, points off centre.
 * Their prior standard deviations are the job's own; a source with a standard deviation of 0 is not a cause.
 */
export function singleCauses(job: Job, specimen: Specimen, { offCentre = 0 }: CauseOptions = {}): Cause[] {
  const sources = jobSources(job);
  const fromSources = sources.flatMap((source, column): Cause[] => {
    const { id, angular, priorSd, priorMean = 0 } = source;
    if (id.kind === "reference" || id.kind === "bias") return [];
    const on = ({ matrix, betweenCutSd }: Specimen): Float64Array =>
      betweenCutSd.map((_, row) => at(matrix, row * sources.length + column));
    const measure = angular ? "angle" : "length";
    return [{ id, measure, priorSd, priorMean, on, says: saysOf(job, specimen.cell, id) }];
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

/** In a racked square grid the upright strips turn one way and the level ones the other, about their middles; the benches for trial pieces have no grid. */
function gridCauses({ grid }: Job, cell: Cell): Cause[] {
  return [
    {
      id: RACKED,
      measure: "angle",
      priorSd: grid.turn,
      priorMean: 0,
      on: ({ cell }) => rackedGrid(cell),
      says: ["upright strips turned counter-clockwise", "upright strips turned clockwise"],
    },
    {
      id: OUT_OF_SIZE,
      measure: "length",
      priorMean: 0,
      priorSd: grid.offset * sideByOffset(cell),
      on: ({ cell: own }) => smallerSide(own),
      says: ["clear side of the opening too small", "clear side of the opening too large"],
    },
  ];
}

/** A point whose tip lies c to the left of the middle: its left cut reaches c·tan J further, its right cut c·tan J less far. */
function offCentreCauses(cell: Cell, priorSd: number): Cause[] {
  // Only for points whose two cuts are made alike; otherwise the two stops determine where the tip lies.
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
      id: { kind: "off-centre", of: group },
      measure: "length",
      priorMean: 0,
      priorSd,
      on,
      says: ["point left of the middle", "point right of the middle"],
    };
  });
}
