import type { JobFault } from "../job-error.js";
import { arrangePattern } from "./arrange-pattern.js";
import { checkPattern } from "./check-pattern.js";
import type { Pattern, PatternSizes } from "./pattern.js";
import type { PatternFault } from "./pattern-fault.js";

/** Everything that keeps a pattern from being a cell at certain sizes (the usual ones where not given); empty when it closes. */
export function patternFaults(pattern: Pattern, sizes: PatternSizes = {}): readonly PatternFault[] {
  const { arrangement, faults } = arrangePattern(pattern, sizes);
  return arrangement === null ? faults : checkPattern(pattern, arrangement);
}

/** The same with their places in the file. `draws`: what draws them, for whoever has not seen it yet. */
export function faultsInFile(
  { source }: Pattern,
  faults: readonly PatternFault[],
  draws = `sukima pattern ${source.file} --out drawing.svg`,
): JobFault[] {
  const right = draws === "" ? "faces that meet" : `faces that meet; “${draws}” marks the place`;
  return faults.map(({ path, sentence, example = right }) => source.fault(path, sentence, { example }));
}
