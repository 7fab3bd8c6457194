import type { Job } from "../job/job.js";
import type { Cell } from "../lattice/cell.js";
import type { Place } from "../readings/instrument.js";
import type { Reading } from "../readings/reading.js";

/** Every joint of a cell to be read at these places with one instrument; nothing read yet. */
export function cellPlan(
  cell: Cell,
  instrument: Job["instruments"][number],
  places: readonly Place[] = ["widest"],
): Reading[] {
  let count = 0;
  return cell.joints.flatMap(({ name }) =>
    places.map(
      (at): Reading => ({
        ...{
          id: `g${++count}`,
          line: 0,
          trial: "cell",
          round: null,
          setUp: null,
          bench: "cell",
          what: "gap",
        },
        ...{ subject: name, at, instrument: instrument.name, note: "" },
        ...{ value: null, low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY },
      }),
    ),
  );
}
