import { cellSpecimen, type Specimen } from "../calibrate/specimen.js";
import type { Job } from "../job/job.js";
import type { Cell } from "../lattice/cell.js";
import { probesAt } from "../lattice/cell-probes.js";
import type { Reading } from "../readings/reading.js";
import { instrumentVariance } from "../readings/reading-loss.js";
import { exampleRow } from "./example-row.js";
import { ExplainError } from "./explain-error.js";

/** An assembled cell with the gaps seen in it. */
export interface CellRead {
  readonly trial: string;
  /** The cell as its round was cut; all cells of a job share one lay-out. */
  readonly specimen: Specimen;
  readonly readings: readonly Reading[];
  /** The probes that each reading may be of: it reads the widest of them. */
  readonly probes: readonly (readonly number[])[];
  /** What the instrument adds to each reading, mm, and the standard deviation that it brings: repeatability, step, and what is not known of its bias. */
  readonly shift: Float64Array;
  readonly noise: Float64Array;
}

/**
 * The gaps read in assembled cells, cell by cell; readings of trial pieces on benches are left out.
 *
 * @throws ExplainError when there are none.
 */
export function cellsRead(job: Job, cell: Cell, readings: readonly Reading[]): CellRead[] {
  const own = readings.filter(({ bench, what }) => bench === "cell" && what === "gap");
  if (own.length === 0) {
    throw new ExplainError(
      `There is nothing to explain: an explanation needs gaps read in an assembled cell; of ${readings.length} readings none has the bench “cell”. Write for example: ${exampleRow(cell, job)}`,
    );
  }
  const instruments = new Map(job.instruments.map((instrument) => [instrument.name, instrument]));
  return [...new Set(own.map(({ trial }) => trial))].map((trial) => {
    const list = own.filter((reading) => reading.trial === trial);
    const tools = list.map(({ instrument }) => instruments.get(instrument)!);
    return {
      ...{ trial, readings: list },
      specimen: cellSpecimen(job, cell, list[0]!.round),
      probes: list.map((reading) => probesOf(cell, reading)),
      shift: Float64Array.from(tools, ({ bias }) => bias),
      noise: Float64Array.from(list, (reading, i) =>
        Math.sqrt(instrumentVariance(tools[i]!, reading) + tools[i]!.biasTrustedTo ** 2),
      ),
    };
  });
}

/** The probes of a cell that a gap reading may be of. */
export const probesOf = (
  cell: Cell,
  { subject, at, side }: Pick<Reading, "subject" | "at" | "side">,
): number[] => probesAt(cell, { joint: subject, at, side });

/** Whether a reading only says that nothing goes in; a joint known to be pressed says more. */
export const nothingGoesIn = ({ value, low, high }: Reading): boolean =>
  value === null && low === Number.NEGATIVE_INFINITY && high! >= 0;
