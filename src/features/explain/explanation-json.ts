import { bestCheck } from "./best-check.js";
import type { Explanation } from "./explain-cells.js";
import { hypothesisName } from "./explanation-text.js";

const DEGREE = Math.PI / 180;

/** An explanation for other programs: lengths in mm, angles in degrees. */
export function explanationJson(explanation: Explanation): object {
  const { told, largestRise, verdicts, cells } = explanation;
  const [first, second] = verdicts;
  const check = told === "told" ? bestCheck(explanation, first!, second!) : null;
  return {
    ...{ told, largestRise },
    cells: cells.map(({ trial, readings }) => ({ trial, readings: readings.length })),
    hypotheses: verdicts.map((verdict) => {
      const { causes, sizes, probability, standardError, prior, weighed } = verdict;
      return {
        ...{ hypothesis: hypothesisName(verdict), probability, standardError, prior },
        sizes: causes.map(({ name, measure, says }, k) => {
          const { size, interval, thatSide, other } = sizes[k]!;
          const unit = measure === "angle" ? DEGREE : 1;
          return {
            ...{ cause: name, unit: measure === "angle" ? "deg" : "mm" },
            ...{ size: size / unit, interval: interval.map((end) => end / unit) },
            ...{ says: says[size > 0 ? 0 : 1], thatSide, other: other === null ? null : other / unit },
          };
        }),
        logEvidence: weighed.logEvidence,
        ...{ draws: weighed.draws.length, effectiveDraws: weighed.effective },
      };
    }),
    check: check && {
      ...check.check,
      bits: check.bits,
      foreseen: check.foreseen.map((range) =>
        range.map((value) => (check.check.what === "angle" ? value / DEGREE : value)),
      ),
    },
  };
}
