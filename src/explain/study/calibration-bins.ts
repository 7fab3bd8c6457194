import { centralCounts } from "./poisson-binomial.js";

/** Something said with a probability, and whether it was so. */
export interface Statement {
  readonly probability: number;
  readonly true: boolean;
}

/** Statements of nearly the same probability. */
export interface CalibrationBin {
  readonly from: number;
  readonly to: number;
  readonly statements: number;
  /** Mean of the probabilities stated. */
  readonly stated: number;
  /** Share that was true. */
  readonly true: number;
  /** Share that would be true in 99 % of studies if each were as likely as stated. */
  readonly bounds: readonly [number, number];
  readonly within: boolean;
}

export const BIN_EDGES = [0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 1] as const;
const TAIL = 0.005;

/** Whether things said at 70–80 % were true 70–80 % of the time, for every such bin that has statements. */
export function calibrationBins(statements: readonly Statement[]): CalibrationBin[] {
  return BIN_EDGES.slice(1).flatMap((to, i): CalibrationBin[] => {
    const from = BIN_EDGES[i]!;
    const own = statements.filter(({ probability: p }) => p >= from && (p < to || (to === 1 && p <= 1)));
    if (own.length === 0) return [];
    const n = own.length;
    const yes = own.filter((statement) => statement.true).length;
    const probabilities = own.map(({ probability }) => probability);
    const [low, high] = centralCounts(probabilities, TAIL);
    return [
      {
        ...{ from, to, statements: n, true: yes / n, bounds: [low / n, high / n] },
        stated: probabilities.reduce((a, b) => a + b, 0) / n,
        within: yes >= low && yes <= high,
      },
    ];
  });
}
