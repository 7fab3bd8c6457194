import type { Vec } from "../../geometry/vector.js";
import type { JobPath } from "../file/job-source.js";

/** Something of a pattern that does not meet, where it stands in its file, and where in the cell. */
export interface PatternFault {
  readonly path: JobPath;
  /** What is wrong, by how much; the rule. */
  readonly sentence: string;
  readonly example?: string;
  /** Places to mark in a drawing, mm in the cell's axes. */
  readonly marks: readonly Vec[];
}
