import type { SetUp } from "../../cutting/shop.js";
import { LatticeError } from "../../lattice/lattice-error.js";
import type { Place, ReadQuantity } from "../../readings/instrument.js";
import type { ReadingBench } from "../../readings/reading.js";
import { readCut } from "./read-cut.js";
import { readJoint } from "./read-joint.js";
import { readPiece } from "./read-piece.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

export interface ReadSoFar {
  readonly what: ReadQuantity | undefined;
  readonly bench: ReadingBench | undefined;
  readonly setUp: SetUp | null | undefined;
  readonly place: Place | undefined;
}

/** What the column `joint` says: the joint of a gap, the cut of an angle, the piece of a length or thickness. */
export function readSubject(row: Row, shop: Workshop, read: ReadSoFar): string | null | undefined {
  const { what, bench, setUp, place } = read;
  if (what === undefined || setUp === undefined) return undefined;
  if (what === "angle") return readCut(row, shop, setUp);
  if (what !== "gap") return readPiece(row, shop, setUp, what);
  if (bench === undefined || bench === "none") return undefined;
  if (bench === "cell") return readJoint(row, shop.cell, place);
  if (setUp === null) return undefined;
  const made = shop.bench(bench, setUp);
  return made instanceof LatticeError ? undefined : readJoint(row, made, place);
}
