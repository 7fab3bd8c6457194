import { isUserError, type UserError } from "../../core/errors.js";
import { formatLength } from "../../core/quantity/index.js";
import type { BenchName } from "../../model/cell/benches.js";
import type { Cell } from "../../model/cell/cell.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { type JointNames, jointNames } from "../../model/cell/joint-names.js";
import type { Job } from "../../model/job/job.js";
import { jobBench, jobCell } from "../../model/job/job-cell.js";
import type { SetUp } from "../../model/shop.js";
import type { TableFaults } from "../table.js";

/** The context in which rows of a table are read: the job, its cell, and the benches for its jigs. */
export class Workshop {
  readonly cell: Cell;
  readonly #benches = new Map<string, Cell | UserError>();
  readonly #jointNames = new Map<Cell, JointNames>();

  constructor(
    readonly job: Job,
    readonly faults: TableFaults,
    /** Whether the readings are still to be taken, so that a row need not have a value. */
    readonly planned: boolean,
  ) {
    this.cell = jobCell(job);
    faults.units = job.units;
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

  /** The names of the joints of a cell or bench. */
  jointNames(cell: Cell): JointNames {
    const known = this.#jointNames.get(cell);
    if (known) return known;
    const names = jointNames(cell);
    this.#jointNames.set(cell, names);
    return names;
  }

  /** A length as it could be written in a cell of the table: `0.05 mm`. */
  lengthText(mm: number, digits = 6): string {
    const { units } = this.job;
    return formatLength(mm, { unit: units, digits: units === "mm" ? digits : digits + 1 }).replace(
      /\.?0+ /,
      " ",
    );
  }
}

function buildable(build: () => Cell): Cell | UserError {
  try {
    return build();
  } catch (error) {
    if (isUserError(error, "cell")) return error;
    throw error;
  }
}
