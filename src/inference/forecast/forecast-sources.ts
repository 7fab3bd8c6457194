import { addScaled, at, columnOf } from "../../core/numeric/dense.js";
import type { Cell, ErrorKind } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";
import { jigOf, setUpByGroup } from "../../model/shop.js";
import type { ScatterId, SourceId } from "../../model/source-id.js";
import { fenceShift } from "../../model/sources.js";
import type { TrialInputs } from "../../physics/kernel/trial-record.js";
import type { CellReader } from "../likelihood/read-specimen.js";
import { cellSpecimen, jobSources } from "../likelihood/specimen.js";

/** Sources reported together because they vary together or are alike; independent of every other group. */
export interface SourceGroup {
  readonly id: SourceId | ScatterId;
  /** Shared by all cuts it acts on, or drawn anew for each cut, piece or wall. */
  readonly shared: boolean;
  /** Indices of the draws of a trial that are its own. */
  readonly draws: readonly number[];
  /** What each of them would be if the group were perfect, in standard normals: the draw at which its error is nil. */
  readonly perfect: readonly number[];
  /** Normal distribution of the error behind each draw: mean and standard deviation, rad where `angular`, else mm. A grid's offsets and turns stand side by side. */
  readonly spread: readonly {
    readonly mean: number;
    readonly deviation: number;
    readonly angular: boolean;
  }[];
}

/** The errors of a job's next cell as a linear map of standard normals. */
export interface ForecastSources {
  readonly cell: Cell;
  /** @internal */
  readonly reader: CellReader;
  /** errors = mean + matrix · draws, the draws standard normal. */
  readonly inputs: TrialInputs;
  readonly groups: readonly SourceGroup[];
}

/** Group of each cut-to-cut error by its kind; a wall's two kinds are one group. */
const BETWEEN_CUT_GROUPS = {
  angle: "angle",
  axial: "length",
  lean: "lean",
  thickness: "thickness",
  turn: "wall",
  offset: "wall",
} as const satisfies Record<ErrorKind, ScatterId["of"]>;

/**
 * Every source of error of a job with its distribution: shared sources normal with their prior mean and standard deviation;
 * cuts, pieces and walls each normal with its between-cut standard deviation. A thicker piece is also cut differently where a fence bears on one side of the bevel.
 */
export function forecastSources(job: Job): ForecastSources {
  const specimen = cellSpecimen(job);
  const { cell, reader } = specimen;
  const layout = errorLayout(cell);
  const errors = layout.entries.length;
  const setUpOf = setUpByGroup(job);
  const columns: Float64Array[] = [];
  const mean = specimen.known.slice();
  const groups: SourceGroup[] = [];
  const sources = jobSources(job);
  for (const [s, { id, angular, priorSd: deviation, priorMean = 0 }] of sources.entries()) {
    const column = columnOf(specimen.matrix, s, sources.length);
    if (column.every((slope) => slope === 0)) continue;
    addScaled(mean, column, priorMean);
    groups.push({
      ...{ id, shared: true, draws: [columns.length], perfect: [-priorMean / deviation] },
      spread: [{ mean: priorMean, deviation, angular }],
    });
    columns.push(column.map((slope) => slope * deviation));
  }
  for (const of of new Set(Object.values(BETWEEN_CUT_GROUPS))) {
    const draws: number[] = [];
    const spread: SourceGroup["spread"][number][] = [];
    for (const [e, { kind, owner }] of layout.entries.entries()) {
      const deviation = at(specimen.betweenCutSd, e);
      if (BETWEEN_CUT_GROUPS[kind] !== of || !(deviation > 0)) continue;
      const column = new Float64Array(errors);
      column[e] = deviation;
      if (kind === "thickness") {
        for (const cut of cell.pieces.find((piece) => piece.name === owner)?.cuts ?? []) {
          const setUp = setUpOf(cut);
          if (!setUp) continue;
          const shift = fenceShift(jigOf(job, setUp).fence, cut.jigAngle);
          column[layout.indexOf("axial", owner, cut.face)] = deviation * shift;
        }
      }
      draws.push(columns.length);
      spread.push({ mean: 0, deviation, angular: kind === "angle" || kind === "turn" });
      columns.push(column);
    }
    const id: ScatterId = { kind: "scatter", of };
    if (draws.length > 0) groups.push({ id, shared: false, draws, perfect: draws.map(() => 0), spread });
  }
  const matrix = new Float64Array(errors * columns.length);
  for (const [k, column] of columns.entries())
    for (const [e, slope] of column.entries()) matrix[e * columns.length + k] = slope;
  return { cell, reader, inputs: { mean, matrix, draws: columns.length }, groups };
}
