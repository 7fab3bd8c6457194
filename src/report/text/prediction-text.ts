import type { Job } from "../../job/job.js";
import type { Cell } from "../../lattice/cell.js";
import type { FittedGroup } from "../../predict/fitting/fit-lengths.js";
import type { CellPrediction, ProbeGap } from "../../predict/predict-cell.js";
import { CAUTIONS } from "./cautions.js";
import { cellText } from "./cell-text.js";
import { pieceRows, stopRows } from "./piece-rows.js";
import { pieceLength, smallLength } from "./shop-numbers.js";
import { textTable, wrapped } from "./text-table.js";
import { trimTable } from "./trim-table.js";

/** Gaps smaller than this, mm, are called closed: less than any feeler can tell. */
const CLOSED = 0.005;

/** A joint's gap or press as the table prints it: what is the same there keeps the order of the joints. */
const sizeOf = ({ gap }: Pick<ProbeGap, "gap">): number => Math.round(Math.abs(gap) / PRINTED);
const PRINTED = 0.001;

/**
 * A prediction for reading: worst joints first, then the nominal pieces and the settings of their stops.
 *
 * @param groups how the pieces were fitted by trial; `null` (default) where they are as cut.
 */
export function predictionText(
  job: Job,
  cell: Cell,
  prediction: CellPrediction,
  groups: readonly FittedGroup[] | null = null,
): string {
  const { units } = job;
  const { firstOrderDifference, order, openArea } = prediction;
  const probes = [...prediction.probes].sort((a, b) => sizeOf(b) - sizeOf(a));
  return [
    ...(job.title === "" ? [] : [job.title]),
    `${cellText(job)}, ${order} order`,
    "",
    probesTable(probes, units),
    "",
    ...(cell.depth === undefined
      ? []
      : [
          wrapped(
            `Strips ${pieceLength(cell.depth, units)} deep: each joint is read at the front, towards you, and at the back; a ramp that leans makes them differ. The worst gap and press are over both, the area is their mean.`,
          ),
        ]),
    wrapped(
      `${closingText(job, prediction, groups !== null)} Open along the joints: ${areaText(openArea, units)}. First and exact order differ by at most ${smallLength(firstOrderDifference, units)}.`,
    ),
    ...(prediction.slid.length === 0
      ? []
      : [
          wrapped(
            `Slid past each other: ${prediction.slid.join(", ")}. The pieces float sideways there; take these gaps as a warning, not as a measure.`,
          ),
        ]),
    ...(groups === null
      ? []
      : ["", ...trimTable(groups, job), "", ...CAUTIONS.map((caution) => wrapped(`! ${caution}`))]),
    "",
    "Pieces at nominal size",
    textTable(["piece", "how many", "tip to tip"], pieceRows(cell, units), [1, 2]),
    "",
    "Stops: from the tip at the start of the piece to where the cut crosses its middle line",
    textTable(["cut", "jig angle", "stop"], stopRows(cell, units), [1, 2]),
    "",
  ].join("\n");
}

function probesTable(probes: readonly ProbeGap[], units: Job["units"]): string {
  const sided = probes.some(({ side }) => side !== undefined);
  return textTable(
    ["joint", "end", ...(sided ? ["side"] : []), "gap", ""],
    probes.map((probe) => [
      ...[probe.joint, probe.at, ...(sided ? [probe.side ?? ""] : [])],
      ...[smallLength(Math.abs(probe.gap), units), stateOf(probe)],
    ]),
    [sided ? 3 : 2],
  );
}

function closingText(
  { units, limits }: Job,
  { worstGap, worstPress }: CellPrediction,
  fitted: boolean,
): string {
  const gap = `Worst gap ${smallLength(worstGap, units)} (limit ${smallLength(limits.gap, units)})`;
  const press = smallLength(worstPress, units);
  const says = (closes: boolean): string => `the cell ${closes ? "closes" : "does not close"}.`;
  if (!fitted)
    return `${gap}, worst press ${press} (limit ${smallLength(limits.snug, units)}): ${says(worstGap <= limits.gap && worstPress <= limits.snug)}`;
  return `${gap}: ${says(worstGap <= limits.gap)} Worst press with all pieces in ${press}: what goes in later presses further on what is in.`;
}

function stateOf({ gap }: ProbeGap): string {
  if (Math.abs(gap) < CLOSED) return "closed";
  return gap > 0 ? "open" : "pressed";
}

function areaText(mm2: number, units: Job["units"]): string {
  return units === "mm" ? `${mm2.toFixed(3)} mm²` : `${(mm2 / 25.4 ** 2).toFixed(6)} in²`;
}
