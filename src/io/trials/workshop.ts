import { isUserError, type UserError } from "../../core/errors.js";
import { formatLength } from "../../core/quantity/index.js";
import type { BenchName } from "../../model/cell/benches.js";
import type { Cell } from "../../model/cell/cell.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { runsOfJoint } from "../../model/cell/face-id.js";
import type { Job } from "../../model/job/job.js";
import { jobBench, jobCell } from "../../model/job/job-cell.js";
import type { SetUp } from "../../model/shop.js";
import type { TableFaults } from "../table.js";

/** The context in which rows of a table are read: the job, its cell, and the benches for its jigs. */
export class Workshop {
  readonly cell: Cell;
  readonly #benches = new Map<string, Cell | UserError>();
  readonly #jointParts = new Map<Cell, JointParts>();

  constructor(
    readonly job: Job,
    readonly faults: TableFaults,
    /** Whether the readings are still to be taken, so that a row need not have a value. */
    readonly planned: boolean,
  ) {
    this.cell = jobCell(job);
  }

  /** A bench for a piece cut at a set-up, or why it does not suit. */
  bench(name: BenchName, setUp: SetUp): Cell | UserError {
    const key = `${name} ${setUp.name}`;
    const known = this.#benches.get(key);
    if (known !== undefined) return known;
    const made = buildable(() => compileCell(jobBench(this.job, name, setUp)));
    this.#benches.set(key, made);
    return made;
  }

  /** Every run of a joint's name that begins and ends at a point or a bar, with the joints that have it: `point.start-left|line` has `start-left`. */
  partsOfJoints(cell: Cell): JointParts {
    const known = this.#jointParts.get(cell);
    if (known) return known;
    const parts = new Map<string, string[]>();
    for (const { name } of cell.joints)
      for (const part of new Set(runsOfJoint(name))) parts.set(part, [...(parts.get(part) ?? []), name]);
    this.#jointParts.set(cell, parts);
    return parts;
  }

  /** A length as it could be written in a cell of the table: `0.05 mm`. */
  lengthText(mm: number): string {
    return formatLength(mm, { unit: this.job.units, digits: 6 }).replace(/\.?0+ /, " ");
  }
}

/** Joints by the parts of their names. */
export type JointParts = ReadonlyMap<string, readonly string[]>;

function buildable(build: () => Cell): Cell | UserError {
  try {
    return build();
  } catch (error) {
    if (isUserError(error, "cell")) return error;
    throw error;
  }
}
