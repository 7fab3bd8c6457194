import type { Ranged, SeasonYear } from "../../season/season-year.js";
import type { Html } from "../display/show.js";
import type { Figure } from "../text/figure.js";
import { resultTable } from "../text/result-table.js";

/** One row a state of the year. */
export function seasonTable({ job, states }: SeasonYear): Html {
  const unit = job.units === "mm" ? "mm" : "thou";
  const range = ({ low, high }: Ranged, signed = false): Figure => ({ value: low, to: high, unit, signed });
  return resultTable(states, [
    { heading: "when", cell: ({ climate }) => climate.name },
    {
      heading: "moisture (%)",
      cell: ({ moisture, inRange }) => `${moisture.toFixed(1)}${inRange ? "" : " *"}`,
    },
    {
      heading: "thickness",
      cell: ({ infill }) => ({ value: infill.expected, unit, signed: true }),
    },
    { heading: "its 95 %", cell: ({ infill }) => range(infill, true) },
    { heading: "gap alone", cell: ({ gapAlone }) => ({ value: gapAlone.expected, unit }) },
    { heading: "its 95 %", cell: ({ gapAlone }) => range(gapAlone) },
    { heading: "press alone", cell: ({ pressAlone }) => ({ value: pressAlone.expected, unit }) },
    {
      heading: "cells without a wide gap",
      cell: ({ closed }) => ({ value: closed.value, unit: "%" }),
    },
  ]);
}
