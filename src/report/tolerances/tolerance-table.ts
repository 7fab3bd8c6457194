import { formatAngle, formatLength } from "../../quantity/index.js";
import type { JobTolerances, ToleranceLine } from "../../tolerances/job-tolerances.js";
import type { Html } from "../display/show.js";
import { resultTable } from "../text/result-table.js";

/** Every tolerance as it is and as it should be. */
export function toleranceTable({ job, lines }: JobTolerances): Html {
  const text = ({ parts }: ToleranceLine, which: "today" | "wanted"): string =>
    parts
      .map((part) =>
        part.angular ? formatAngle(part[which], { digits: 3 }) : toleranceText(part[which], job.units),
      )
      .join(", ");
  return resultTable(lines, [
    { heading: "source", cell: ({ name }) => name },
    { heading: "trusted to today", cell: (line) => text(line, "today") },
    { heading: "wanted", cell: (line) => text(line, "wanted") },
    { heading: "finer by", cell: ({ factor }) => ({ value: 1 / factor, unit: "none", digits: 2 }) },
    { heading: "cost today", cell: ({ costToday }) => ({ value: costToday, unit: "none", digits: 2 }) },
    { heading: "cost", cell: ({ cost }) => ({ value: cost, unit: "none", digits: 2 }) },
    ...(lines.some(({ bound }) => bound !== null)
      ? [
          {
            heading: "bound",
            cell: ({ bound }: ToleranceLine) => (bound === null ? "" : `the ${bound} allowed`),
          },
        ]
      : []),
  ]);
}

/** A standard deviation of a length: mm to the thousandth, thou to the hundredth. */
const toleranceText = (mm: number, units: "mm" | "in"): string =>
  units === "mm"
    ? formatLength(mm, { unit: "mm", digits: 3 })
    : formatLength(mm, { unit: "in", style: "thou", digits: 2 });
