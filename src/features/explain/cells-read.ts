import { UserError } from "../../core/errors.js";
import { at, present } from "../../core/numeric/dense.js";
import type { SourceFit } from "../../inference/estimates/fit-sources.js";
import { JobCells } from "../../inference/likelihood/read-specimen.js";
import { jobCellReader } from "../../inference/likelihood/specimen.js";
import type { Part } from "../../inference/likelihood/trial-blocks.js";
import type { Cell } from "../../model/cell/cell.js";
import { jointNames } from "../../model/cell/joint-names.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";

/** An assembled cell whose gaps were read. */
export interface CellRead {
  readonly trial: string;
  /** The round that its pieces were cut in; `null` before any known move. */
  readonly round: string | null;
  /** Its gap readings. */
  readonly readings: readonly Reading[];
  /** Index of its trial among the fit's trials, and its part there. @internal */
  readonly block: number;
  /** @internal */
  readonly part: Part;
}

const isCellGap = ({ bench, what }: Reading): boolean => bench === "cell" && what === "gap";

/** The assembled cells among the readings of a fit, in their order. */
export function cellsRead(fit: SourceFit): CellRead[] {
  return fit.target.blocks.flatMap(({ trial, parts }, block) =>
    parts
      .filter(({ readings }) => readings.some(isCellGap))
      .map((part): CellRead => {
        const readings = part.readings.filter(isCellGap);
        return { trial, block, part, readings, round: at(readings, 0).round };
      }),
  );
}

/** @throws UserError (code "explanation") when no gap of an assembled cell is among the readings. */
export function requireCellGaps(job: Job, readings: readonly Reading[]): void {
  if (readings.some(isCellGap)) return;
  const { cell } = jobCellReader(job, new JobCells());
  throw new UserError(
    "explanation",
    `There is nothing to explain: an explanation needs gaps read in an assembled cell; of the ${readings.length} readings in trials.csv none has “cell” in the column bench. Write for example: ${exampleRow(cell, job)}`,
  );
}

/** Whether only gaps of assembled cells were read. */
export const onlyCellsRead = (readings: readonly Reading[]): boolean => readings.every(isCellGap);

/** Whether a reading only states that nothing goes in; a joint known to be pressed is more informative. */
export const nothingGoesIn = ({ value, low, high }: Reading): boolean =>
  value === null && low === Number.NEGATIVE_INFINITY && present(high) >= 0;

/** Short name of a joint of a cell to give as an example; a joint between two pieces if there is one. */
export function exampleJoint(cell: Cell): string {
  const { joints, faces } = cell;
  const between = joints.findIndex(({ mate }) => at(faces, mate).kind === "cut");
  return at(jointNames(cell).short, Math.max(0, between));
}

/** A row of trials.csv that reads a gap in an assembled cell of this job, with an instrument that it has. */
export function exampleRow(cell: Cell, { instruments, units }: Pick<Job, "instruments" | "units">): string {
  const feeler = instruments.find(({ reads }) => reads.includes("gap"))?.name ?? "feeler";
  const amounts = units === "in" ? "0.002,0.004,in" : "0.05,0.1,mm";
  return `r1,c1,,,cell,${exampleJoint(cell)},gap,widest,,${amounts},${feeler},`;
}
