import type { Cell } from "../../lattice/cell.js";
import { LARGEST_ANGLE_ERROR } from "../../cutting/error-layout.js";
import { degreesText } from "../degrees-text.js";
import type { ReadBefore } from "./read-amounts.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

/** Notes an angle that no jig for that cut can have made: counted from the side of the strip, most likely, or an error instead of the angle. */
export function requireNearLabel(
  row: Row,
  { cell }: Workshop,
  { subject, setUp }: ReadBefore,
  value: number,
): void {
  const label = labelOf(cell, subject, setUp?.cuts ?? null);
  if (label === undefined || Math.abs(value - label) <= LARGEST_ANGLE_ERROR) return;
  const problem = `it is far from ${degreesText(label)}, the angle of this cut`;
  const rule = "write the angle itself, counted from a square cut; a cut is within 10° of its label";
  row.refuse("value", { problem, rule }, degreesText(label));
}

function labelOf(
  { pieces }: Cell,
  subject: string | null | undefined,
  groups: readonly string[] | null,
): number | undefined {
  return pieces
    .flatMap(({ name, cuts }) => cuts.map((cut) => ({ ...cut, full: `${name}.${cut.face}` })))
    .find(({ full, face, group }) =>
      groups === null ? full === subject : face === subject && groups.includes(group),
    )?.jigAngle;
}
