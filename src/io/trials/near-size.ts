import type { Cell } from "../../model/cell/cell.js";
import { LARGEST_ANGLE_ERROR } from "../../model/cell/cell-errors.js";
import { faceName } from "../../model/cell/face-id.js";
import { shoulderLength } from "../../model/cell/shoulder.js";
import { isAngleReading, type ReadQuantity } from "../../model/readings.js";
import type { SetUp } from "../../model/shop.js";
import { degreesText } from "../faults.js";
import { likelySlip } from "../likely-slip.js";
import type { TrialRow } from "./trials-csv.js";
import type { Workshop } from "./workshop.js";

// Checks whether an amount is plausible for the piece that was read: near its label, its drawn length or the strip's thickness.

/** The other entries of the row with the amount. */
interface ReadOf {
  readonly what: ReadQuantity;
  readonly unit: string | undefined;
  readonly subject: string | null | undefined;
  readonly setUp: SetUp | null | undefined;
}

interface Amount {
  readonly column: "value" | "low" | "high";
  /** mm or rad. */
  readonly amount: number;
}

/** Whether an amount is plausible for the piece; notes a fault if it is not. */
export function isNear(row: TrialRow, shop: Workshop, read: ReadOf, { column, amount }: Amount): boolean {
  const { what, subject } = read;
  if (isAngleReading(what)) return isNearLabel(row, shop, read, { column, amount });
  if (what === "gap") {
    const rule = "a gap is hardly wider than the strip is thick";
    const limits = { least: 0, most: shop.cell.strip, far: "it is too wide for a gap", rule };
    return isNearSize(row, shop, read, { column, amount, ...limits });
  }
  const drawn = drawnSize(shop, what, subject);
  if (drawn === undefined) return true;
  const { share, least } = what === "thickness" ? MOST_OFF.thickness : MOST_OFF.length;
  const off = Math.max(least, share * drawn);
  const far = `it is far from ${shop.lengthText(drawn, 2)}, the ${NAMES[what]} that ${what === "thickness" ? "a strip" : subject} should have`;
  const rule = `a ${NAMES[what]} is read within ${100 * share} % or ${shop.lengthText(least, 2)} of it`;
  return isNearSize(row, shop, read, {
    column,
    amount,
    least: drawn - off,
    most: drawn + off,
    far,
    rule,
    drawn,
  });
}

const NAMES = { length: "length", shoulder: "shoulder length", thickness: "thickness" } as const;

/**
 * Largest plausible deviation of a piece from its drawn size, as a share or in mm, whichever is larger: ten times the usual errors of stops and planers, and
 * less than most one-digit typing errors. Common practice, no source.
 */
const MOST_OFF = {
  length: { share: 0.05, least: 2 },
  thickness: { share: 0.15, least: 0.3 },
} as const;

/** mm. */
const EXAMPLE_GAP = 0.05;

/** An amount that could have been read, as it is typed. */
export function exampleOf(shop: Workshop, read: Omit<ReadOf, "unit">): string {
  const { what, subject } = read;
  if (isAngleReading(what)) {
    const label = nominalAngle(shop, read);
    return label === undefined ? "45.1 deg" : degreesText(label);
  }
  const size = what === "gap" ? undefined : drawnSize(shop, what, subject);
  return shop.lengthText(size ?? EXAMPLE_GAP, 2);
}

/** The drawn length of a piece, length of a side or thickness of a strip, mm; `undefined` for an unknown one. */
function drawnSize(
  { cell }: Workshop,
  what: keyof typeof NAMES,
  subject: string | null | undefined,
): number | undefined {
  if (what === "thickness") return cell.strip;
  if (what === "length") return cell.pieces.find(({ name }) => name === subject)?.length;
  const side = cell.faces.find(({ kind, name }) => kind === "side" && name === subject);
  return side && shoulderLength(cell, side);
}

interface NearSize extends Amount {
  readonly least: number;
  readonly most: number;
  /** What is wrong, in words. */
  readonly far: string;
  readonly rule: string;
  /** What it should be near, mm; left out for a gap. */
  readonly drawn?: number;
}

function isNearSize(row: TrialRow, shop: Workshop, { unit }: ReadOf, near: NearSize): boolean {
  const { column, amount, least, most, far, rule, drawn } = near;
  const fits = (mm: number): boolean => mm >= least && mm <= most;
  if (fits(amount)) return true;
  const usual = /^(in|thou)/.test(unit ?? "") ? "in" : "mm";
  const slip = likelySlip(amount, row.get(column), usual, fits);
  const problem = slip === undefined ? far : `${slip.problem}, for ${far}`;
  row.refuse(column, { problem, rule }, slip?.meant ?? shop.lengthText(drawn ?? EXAMPLE_GAP, 2));
  return false;
}

/** Notes an angle that no jig for that cut can have made. Most likely it was counted from the side of the strip, or is an error rather than an angle. */
function isNearLabel(row: TrialRow, shop: Workshop, read: ReadOf, { column, amount }: Amount): boolean {
  const ofJig = read.what === "ramp";
  const label = nominalAngle(shop, read);
  if (label === undefined || Math.abs(amount - label) <= LARGEST_ANGLE_ERROR) return true;
  const problem = `it is far from ${degreesText(label)}, the angle of this ${ofJig ? "ramp" : "cut"}`;
  const rule = ofJig
    ? "write the angle counted from a square cut: if the box was zeroed along the fence, write 90° less what it shows; a ramp is within 10° of its label"
    : "write the angle itself, counted from a square cut; a cut is within 10° of its label";
  row.refuse(column, { problem, rule }, degreesText(label));
  return false;
}

/** The angle that a cut or a ramp should have, rad; `undefined` for an unknown one. */
function nominalAngle(
  { cell, job }: Workshop,
  { what, subject, setUp }: Omit<ReadOf, "unit">,
): number | undefined {
  return what === "ramp"
    ? job.jigs.find(({ name }) => name === subject)?.ramp
    : labelOf(cell, subject, setUp?.cuts ?? null);
}

function labelOf(
  { pieces }: Cell,
  subject: string | null | undefined,
  groups: readonly string[] | null,
): number | undefined {
  return pieces
    .flatMap(({ name, cuts }) =>
      cuts.map((cut) => ({ ...cut, full: faceName({ owner: name, face: cut.face }) })),
    )
    .find(({ full, face, group }) =>
      groups === null ? full === subject : face === subject && groups.includes(group),
    )?.jigAngle;
}
