import { PANEL_SIDES, type PanelSide } from "../../lattice/cell-probes.js";
import type { ReadQuantity } from "../../readings/instrument.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

/** The side of the panel that a gap was read at; `undefined` for whichever is wider, and after noting what is wrong. */
export function readSide(
  row: Row,
  { cell }: Workshop,
  what: ReadQuantity | undefined,
): PanelSide | undefined {
  if (row.get("side") === "" || what === undefined) return undefined;
  if (what !== "gap") {
    const article = what === "angle" ? "an" : "a";
    const rule = "only gaps are read at the front or at the back, so leave this empty";
    return row.refuse("side", { problem: `${article} ${what} has no side`, rule }, "");
  }
  const side = row.word("side", "side of the panel", PANEL_SIDES);
  if (side === undefined || cell.depth !== undefined) return side;
  const problem = "nothing leans in this job, so front and back are alike";
  const rule = "leave this empty, or give the job a depth and a jig its lean or lean-trusted-to";
  return row.refuse("side", { problem, rule }, "");
}
