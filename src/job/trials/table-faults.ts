import { JobError, type JobFault } from "../job-error.js";

type Noted = Pick<JobFault, "line" | "sentence" | "example"> & Partial<Pick<JobFault, "column" | "field">>;

/** Gathers what is wrong in one table. */
export class TableFaults {
  private readonly file: string;
  private readonly faults: JobFault[] = [];

  constructor(file: string) {
    this.file = file;
  }

  get count(): number {
    return this.faults.length;
  }

  /** Without `column` and `field` the fault is of the whole line. */
  note(fault: Noted): void {
    this.faults.push({ file: this.file, column: 0, field: "", ...fault });
  }

  /** @throws JobError with everything noted so far. */
  requireFaultless(): void {
    if (this.faults.length > 0) throw new JobError(this.faults);
  }
}
