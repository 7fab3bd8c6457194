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

/** The same with their places in the file. */
export function faultsInFile({ source }: Pattern, faults: readonly PatternFault[]): JobFault[] {
  return faults.map(({ path, sentence, example }) =>
    source.fault(path, sentence, {
      example:
        example ?? `faces that meet; “sukima pattern ${source.file} --out drawing.svg” marks the place`,
    }),
  );
}
