import type { Study } from "./run-study.js";

/** The cells with at most one cause, and what is said of them once it is known that there are not several. */
export function oneCauseOnly({ hypotheses, cells }: Study): Study {
  const kept = hypotheses.flatMap((causes, k) => (causes.length > 1 ? [] : [k]));
  const among = (probabilities: readonly number[]): number[] => {
    const own = kept.map((k) => probabilities[k] ?? Number.NaN);
    const total = own.reduce((a, b) => a + b, 0);
    return own.map((p) => p / total);
  };
  return {
    hypotheses: kept.map((k) => hypotheses[k]!),
    cells: cells
      .filter(({ truth }) => kept.includes(truth))
      .map((cell) => ({
        ...cell,
        truth: kept.indexOf(cell.truth),
        explained: among(cell.explained),
        best: among(cell.best),
      })),
  };
}
