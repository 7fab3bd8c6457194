import { jobSources, type Specimen } from "../../inference/likelihood/specimen.js";
import type { Cell } from "../../model/cell/cell.js";
import { errorLayout, noErrors, rackedGrid, smallOpening } from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";
import type { Source } from "../../model/sources.js";
import type { Cause } from "./hypothesis.js";

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
    const { name, kind, of, priorSd, priorMean = 0, angular } = source;
    if (kind === "reference" || kind === "bias") return [];
    const on = ({ matrix, scatter }: Specimen): Float64Array =>
      scatter.map((_, row) => matrix[row * sources.length + column]!);
    const measure = angular ? "angle" : "length";
    return [{ ...{ name, kind, of, measure, priorSd, priorMean, on }, says: saysOf(job, source) }];
  });
  return [...fromSources, ...gridCauses(job), ...offCentreCauses(specimen.cell, offCentre)].filter(
    ({ priorSd, on }) => priorSd > 0 && on(specimen).some((slope) => slope !== 0),
  );
}

const BY_KIND = {
  ramp: ["ramp steeper than its label", "ramp shallower than its label"],
  lean: ["ramp leaning outward at the front", "ramp leaning outward at the back"],
  thickness: ["strips thicker than nominal", "strips thinner than nominal"],
  move: ["moved further up than was meant", "moved less far up than was meant"],
  stop: ["pieces too long", "pieces too short"],
} as const;

function saysOf(job: Job, { kind, of }: Source): Cause["says"] {
  const cuts = job.setUps.find(({ name }) => name === of)?.cuts ?? [];
  if (kind === "stop" && cuts.every((group) => group.endsWith(".seat")))
    return ["seat not deep enough", "seat taken too deep"];
  return BY_KIND[kind as keyof typeof BY_KIND];
}

/** A racked square turns its upright strips one way and its level ones the other, about their middles; the benches for trial pieces have no grid. */
function gridCauses({ grid }: Job): Cause[] {
  return [
    {
      ...{ name: "grid racked", kind: "grid", of: "", measure: "angle", priorSd: grid.turn, priorMean: 0 },
      on: ({ cell }) => rackedGrid(cell),
      says: ["upright strips turned counter-clockwise", "upright strips turned clockwise"],
    },
    {
      ...{ name: "size of the opening", kind: "grid", of: "", measure: "length", priorMean: 0 },
      priorSd: grid.offset,
      on: ({ cell }) => smallOpening(cell),
      says: ["opening too small", "opening too large"],
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
      ...{ name: `${group} off centre`, kind: "off-centre", of: group, measure: "length", priorMean: 0 },
      ...{ priorSd, on },
      says: ["point left of the middle", "point right of the middle"],
    };
  });
}
