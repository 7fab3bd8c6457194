import type { Job } from "../../job/job.js";
import type { Cell } from "../../lattice/cell.js";
import type { CellPrediction, ProbeGap } from "../../predict/predict-cell.js";
import { pieceRows, stopRows } from "./piece-rows.js";
import { pieceLength, smallLength } from "./shop-numbers.js";
import { TAKEN_AS_CUT } from "./taken-as-cut.js";
import { textTable, wrapped } from "./text-table.js";

/** Gaps smaller than this, mm, are called closed: less than any feeler can tell. */
const CLOSED = 0.005;

/** A prediction for reading: worst joints first, then the nominal pieces and the settings of their stops. */
export function predictionText(job: Job, cell: Cell, prediction: CellPrediction): string {
  const { units, limits } = job;
  const { worstGap, worstPress, firstOrderDifference, order, openArea } = prediction;
  const probes = [...prediction.probes].sort((a, b) => Math.abs(b.gap) - Math.abs(a.gap));
  const closes = worstGap <= limits.gap && worstPress <= limits.snug;
  return [
    ...(job.title === "" ? [] : [job.title]),
    `${cell.name}, opening ${pieceLength(job.opening, units)}, strip ${pieceLength(job.strip, units)}, ${order} order`,
    "",
    textTable(
      ["joint", "end", "gap", ""],
      probes.map((probe) => [probe.joint, probe.at, smallLength(Math.abs(probe.gap), units), stateOf(probe)]),
      [2],
    ),
    "",
    wrapped(
      `Worst gap ${smallLength(worstGap, units)} (limit ${smallLength(limits.gap, units)}), worst press ${smallLength(worstPress, units)} (limit ${smallLength(limits.snug, units)}): the cell ${closes ? "closes" : "does not close"}. Open along the joints: ${areaText(openArea, units)}. First and exact order differ by at most ${smallLength(firstOrderDifference, units)}.`,
    ),
    ...(job.lengths === "fitted" ? [wrapped(TAKEN_AS_CUT)] : []),
    ...(prediction.slid.length === 0
      ? []
      : [
          wrapped(
            `Slid past each other: ${prediction.slid.join(", ")}. The pieces float sideways there; take these gaps as a warning, not as a measure.`,
          ),
        ]),
    "",
    "Pieces at nominal size",
    textTable(["piece", "how many", "tip to tip"], pieceRows(cell, units), [1, 2]),
    "",
    "Stops: from the tip at the start of the piece to where the cut crosses its middle line",
    textTable(["cut", "jig angle", "stop"], stopRows(cell, units), [1, 2]),
    "",
  ].join("\n");
}

function stateOf({ gap }: ProbeGap): string {
  if (Math.abs(gap) < CLOSED) return "closed";
  return gap > 0 ? "open" : "pressed";
}

function areaText(mm2: number, units: Job["units"]): string {
  return units === "mm" ? `${mm2.toFixed(3)} mm²` : `${(mm2 / 25.4 ** 2).toFixed(6)} in²`;
}
