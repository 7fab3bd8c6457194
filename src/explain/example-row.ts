import type { Job } from "../job/job.js";
import type { Cell } from "../lattice/cell.js";

/** A joint of a cell to give as an example: two pieces' where there is one. */
export const exampleJoint = ({ joints, faces }: Cell): string =>
  (joints.find(({ mate }) => faces[mate]!.kind === "cut") ?? joints[0]!).name;

/** A row of trials.csv that reads a gap in an assembled cell of this job, with an instrument that it has. */
export function exampleRow(cell: Cell, { instruments }: Pick<Job, "instruments">): string {
  const feeler = instruments.find(({ reads }) => reads.includes("gap"))?.name ?? "feeler";
  return `c1,1,,,cell,${exampleJoint(cell)},gap,widest,,0.05,0.1,mm,${feeler},`;
}
