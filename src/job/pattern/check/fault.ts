import type { Vec } from "../../../geometry/vector.js";
import type { JobPath } from "../../file/job-source.js";
import { faultSentence } from "../../unfit.js";
import type { PatternFault } from "../pattern-fault.js";

/** A length as faults tell it. */
export const mm = (length: number): string =>
  `${Math.abs(length) < 1e-4 ? length.toExponential(1) : length.toFixed(4)} mm`;

/** A fault of a pattern, with the places in its drawing. */
export const fault = (
  path: JobPath,
  what: string,
  problem: string,
  rule: string,
  marks: readonly Vec[] = [],
): PatternFault => ({ path, sentence: faultSentence({ what, problem, rule }), marks });
