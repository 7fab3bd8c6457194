import type { Cell } from "../../model/cell/cell.js";
import { jointText } from "../../model/cell/face-id.js";
import { shortJointNames } from "../../model/cell/joint-names.js";
import type { Job } from "../../model/job/job.js";
import type { CellPrediction, ProbeGap } from "../../physics/predict/predict-cell.js";
import type { Sensitivity } from "../../physics/sensitivity/sensitivity.js";
import { tied } from "../../render/html.js";
import type { HtmlOutput } from "../../render/notebook/display.js";
import { pieceRows, stopRows } from "../../render/shared-text.js";
import { smallUnit } from "../../render/shop-numbers.js";
import { directionText } from "../../render/source-text.js";
import { type Column, plainTable, resultTable } from "../../render/text.js";

/**
 * The pieces of a cell at nominal size, and what the stops are set for.
 *
 * @example
 * piecesTable(job, jobCell(job)).html.includes("hinge") // true
 */
export function piecesTable(job: Pick<Job, "units">, cell: Cell): HtmlOutput {
  return plainTable(["piece", "how many", "tip to tip"], pieceRows(cell, job.units), [1, 2]);
}

/** The cuts of a cell, each with its jig's angle and its stop, in the job's units. */
export function stopsTable(job: Pick<Job, "units">, cell: Cell): HtmlOutput {
  return plainTable(["cut", "jig angle", "stop"], stopRows(cell, job.units), [1, 2]);
}

/**
 * The joints of a cell that stand furthest from closed, widest first, in mm or thou as the job's units have it; at most `most` ends of joints.
 *
 * @param cell names its joints as makers say them; without it they have their full names.
 * @example
 * gapsTable(job, predictCell(jobCell(job), noErrors(jobCell(job))), 3).html.startsWith("<table") // true
 */
export function gapsTable(
  job: Pick<Job, "units">,
  { probes }: CellPrediction,
  most = 10,
  cell?: Cell,
): HtmlOutput {
  const named = jointsNamed(cell);
  const rows = [...probes].sort((a, b) => Math.abs(b.gap) - Math.abs(a.gap)).slice(0, most);
  const sided = rows.some(({ side }) => side !== undefined);
  return resultTable(rows, [
    { heading: "joint", cell: ({ joint }) => named(joint) },
    { heading: "end", cell: ({ at }) => at },
    ...(sided ? [{ heading: "side", cell: ({ side }: ProbeGap) => side ?? "" }] : []),
    { heading: "gap", cell: ({ gap }) => ({ value: gap, unit: smallUnit(job.units), signed: true }) },
  ]);
}

/** One degree of what turns, a tenth of a mm (4 thou) of what shifts: the sizes that errors are compared at. */
export const ERROR_SIZES = {
  rad: { size: Math.PI / 180, name: "1°" },
  mm: { size: 0.1, name: "0.1 mm" },
  in: { size: 0.004 * 25.4, name: "4 thou" },
} as const;

/** Names of joints: the short ones of a cell, or the full ones if there is no cell. */
function jointsNamed(cell: Cell | undefined): (joint: string) => string {
  const short = cell && shortJointNames(cell);
  return (joint) => short?.get(joint) ?? jointText(joint, " | ");
}

/**
 * What every kind of error does to a cell, by its size in {@link ERROR_SIZES}.
 *
 * @param cell names its joints as makers say them; without it they have their full names.
 */
export function sensitivitiesTable(
  job: Pick<Job, "units">,
  rows: readonly Sensitivity[],
  cell?: Cell,
): HtmlOutput {
  const named = jointsNamed(cell);
  const sizeOf = ({ source }: Sensitivity) => ERROR_SIZES[source.unit === "rad" ? "rad" : job.units];
  const unit = smallUnit(job.units);
  const columns: Column<Sensitivity>[] = [
    {
      heading: "error",
      cell: (row) => tied(`${directionText(row.source.id)}, ${sizeOf(row).name} ${row.word}`),
    },
    { heading: "widest gap", cell: (row) => ({ value: row.widestGap * sizeOf(row).size, unit }) },
    { heading: "deepest press", cell: (row) => ({ value: row.deepestPress * sizeOf(row).size, unit }) },
    {
      heading: "where",
      cell: ({ widest }) => (widest ? `${named(widest.joint)}, ${widest.at}` : null),
    },
  ];
  return resultTable(rows, columns);
}
