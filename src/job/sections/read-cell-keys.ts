import { basename, dirname, extname, resolve } from "node:path";
import type { Arrangement } from "../../lattice/arrangement.js";
import { CLOSING_SEAT_SHARE } from "../../lattice/asanoha-square.js";
import { compileCell } from "../../lattice/compile-cell.js";
import { LatticeError } from "../../lattice/lattice-error.js";
import { formatLength } from "../../quantity/index.js";
import type { JobSource } from "../file/job-source.js";
import type { Job } from "../job.js";
import { jobArrangement, PATTERNS } from "../job-cell.js";
import { cellShapes, unitsShape } from "../shape/cell-shapes.js";

type CellKeys = Pick<
  Job,
  "title" | "units" | "pattern" | "opening" | "strip" | "depth" | "seatShare" | "order" | "pressRatio"
>;

/** The keys that say which cell it is; what is wrong with them is noted in the source and leaves them as they stand. */
export interface ReadCell {
  readonly keys: CellKeys;
  /** For the names in it; its sizes are a stand-in where those of the file cannot be used. */
  readonly arrangement: Arrangement;
}

/** A strip that suits any opening is this share of it. */
const SAFE_STRIP = 1 / 20;
/** A size that stands in for one that cannot be used, mm; the job is refused in the end. */
const STAND_IN = 60;

export function readCellKeys(source: JobSource): ReadCell {
  const units = source.take(["units"], unitsShape) ?? "mm";
  const shapes = cellShapes(units);
  const title = source.take(["title"], shapes.title) ?? titleFrom(source.file);
  const pattern = source.take(["pattern"], shapes.pattern);
  const opening = source.take(["opening"], shapes.opening);
  const strip = source.take(["strip"], shapes.strip);
  const depth = source.take(["depth"], shapes.depth);
  const seatShare = source.take(["seat-share"], shapes["seat-share"]);
  const keys: CellKeys = {
    ...{ title, units },
    pattern: pattern ?? PATTERNS[0],
    opening: opening ?? STAND_IN,
    strip: strip ?? (opening ?? STAND_IN) * SAFE_STRIP,
    ...(depth === undefined ? {} : { depth }),
    seatShare: seatShare ?? CLOSING_SEAT_SHARE,
    order: source.take(["order"], shapes.order) ?? "exact",
    pressRatio: source.take(["press-ratio"], shapes["press-ratio"]) ?? 1,
  };
  const arrangement = jobArrangement(keys);
  if (pattern && opening && strip && seatShare) requireSuitable(source, arrangement, opening);
  return { keys, arrangement };
}

function requireSuitable(source: JobSource, arrangement: Arrangement, opening: number): void {
  try {
    compileCell(arrangement);
  } catch (error) {
    if (!(error instanceof LatticeError)) throw error;
    const example = `strip: ${formatLength(opening * SAFE_STRIP, { unit: "mm" })}`;
    source.refuse(["strip"], error.message, { example });
  }
}

/** A job without a title is called after its folder; a file of another name than `job` after itself. */
function titleFrom(file: string): string {
  const stem = basename(file, extname(file));
  return stem === "job" ? basename(dirname(resolve(file))) : stem;
}
