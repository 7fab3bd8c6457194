import type { SetUp } from "../../cutting/shop.js";
import type { BenchName } from "../../lattice/bench-named.js";
import type { Cell } from "../../lattice/cell.js";
import { compileCell } from "../../lattice/compile-cell.js";
import { LatticeError } from "../../lattice/lattice-error.js";
import { formatLength } from "../../quantity/index.js";
import type { Job } from "../job.js";
import { jobBench } from "../job-bench.js";
import { jobCell } from "../job-cell.js";
import type { Delimiter } from "./parse-records.js";
import type { TableFaults } from "./table-faults.js";

/** What the rows of a table are read against: the job, its cell, and the benches as its jigs would meet them. */
export class Workshop {
  readonly job: Job;
  readonly cell: Cell;
  readonly delimiter: Delimiter;
  readonly faults: TableFaults;
  private readonly benches = new Map<string, Cell | LatticeError>();
  /** Whether the readings are still to be taken, so that a row need not say what was read. */
  readonly planned: boolean;

  constructor(job: Job, delimiter: Delimiter, faults: TableFaults, planned = false) {
    this.planned = planned;
    this.job = job;
    this.cell = jobCell(job);
    this.delimiter = delimiter;
    this.faults = faults;
  }

  /** The label of the jig that a set-up uses, rad. */
  jigAngle(setUp: SetUp): number {
    return this.job.jigs.find(({ name }) => name === setUp.jig)!.ramp;
  }

  /** A bench for a piece cut at a set-up, or why it does not suit. */
  bench(name: BenchName, setUp: SetUp): Cell | LatticeError {
    const key = `${name} ${setUp.name}`;
    const known = this.benches.get(key);
    if (known !== undefined) return known;
    const made = buildable(() => compileCell(jobBench(this.job, name, setUp)));
    this.benches.set(key, made);
    return made;
  }

  /** A length as a cell of the table could say it: `0.05 mm`. */
  lengthText(mm: number): string {
    const unit = this.job.units === "mm" ? ({ unit: "mm" } as const) : ({ unit: "in" } as const);
    return formatLength(mm, { ...unit, digits: 6 }).replace(/\.?0+ /, " ");
  }
}

function buildable(build: () => Cell): Cell | LatticeError {
  try {
    return build();
  } catch (error) {
    if (error instanceof LatticeError) return error;
    throw error;
  }
}
