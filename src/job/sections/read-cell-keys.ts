import { basename, dirname, extname, resolve } from "node:path";
import type { Arrangement } from "../../lattice/arrangement.js";
import { CLOSING_SEAT_SHARE } from "../../lattice/asanoha-square.js";
import { compileCell } from "../../lattice/compile-cell.js";
import { LatticeError } from "../../lattice/lattice-error.js";
import { formatLength } from "../../quantity/index.js";
import type { JobSource } from "../file/job-source.js";
import type { Job } from "../job.js";
import { type ArrangedPattern, arrangePattern } from "../pattern/arrange-pattern.js";
import type { Pattern } from "../pattern/pattern.js";
import { patternFaults } from "../pattern/pattern-faults-in-file.js";
import { shippedPattern, shippedPatterns } from "../pattern/shipped-patterns.js";
import { cellShapes, unitsShape } from "../shape/cell-shapes.js";
import { readPatternKey, readPatternSizes, SEAT_SHARE } from "./read-pattern-keys.js";

type CellKeys = Pick<
  Job,
  | "title"
  | "units"
  | "pattern"
  | "opening"
  | "strip"
  | "depth"
  | "seatShare"
  | "patternSizes"
  | "arrangement"
  | "order"
  | "pressRatio"
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
  const pattern = readPatternKey(source);
  const opening = source.take(["opening"], shapes.opening);
  const strip = source.take(["strip"], shapes.strip);
  const depth = source.take(["depth"], shapes.depth);
  const seatShare = source.take([SEAT_SHARE], shapes[SEAT_SHARE]);
  const given = {
    opening: opening ?? STAND_IN,
    strip: strip ?? (opening ?? STAND_IN) * SAFE_STRIP,
    ...(seatShare === undefined ? {} : { [SEAT_SHARE]: seatShare }),
    ...readPatternSizes(source, units, pattern),
  };
  const known = pattern ?? shippedPattern(shippedPatterns()[0]!);
  const arranged = arrangePattern(known, given);
  if (pattern && opening && strip) requireSuitable(source, pattern, arranged, opening);
  // Names are all that a stand-in is for.
  const arrangement = arranged.arrangement ?? arrangePattern(known).arrangement!;
  const keys: CellKeys = {
    ...{ title, units, pattern: known.name, patternSizes: arranged.sizes, arrangement },
    ...{ opening: given.opening, strip: given.strip },
    ...(depth === undefined ? {} : { depth }),
    seatShare: arranged.sizes[SEAT_SHARE] ?? CLOSING_SEAT_SHARE,
    order: source.take(["order"], shapes.order) ?? "exact",
    pressRatio: source.take(["press-ratio"], shapes["press-ratio"]) ?? 1,
  };
  return { keys, arrangement };
}

function requireSuitable(
  source: JobSource,
  pattern: Pattern,
  { arrangement, sizes }: ArrangedPattern,
  opening: number,
): void {
  const example = `strip: ${formatLength(opening * SAFE_STRIP, { unit: "mm" })}`;
  try {
    if (arrangement) compileCell(arrangement);
    else source.refuse(["strip"], unsuitable(pattern, sizes), { example });
  } catch (error) {
    if (!(error instanceof LatticeError)) throw error;
    const plain = pattern.shipped && source.at(["sizes"]) === undefined;
    source.refuse(["strip"], plain ? error.message : unsuitable(pattern, sizes), { example });
  }
}

function unsuitable(pattern: Pattern, sizes: ArrangedPattern["sizes"]): string {
  const [first] = patternFaults(pattern, sizes);
  return `The sizes do not suit the pattern ${pattern.name}; it closes at its usual ones. ${first?.sentence ?? ""}`.trim();
}

/** A job without a title is called after its folder; a file of another name than `job` after itself. */
function titleFrom(file: string): string {
  const stem = basename(file, extname(file));
  return stem === "job" ? basename(dirname(resolve(file))) : stem;
}
