/** A chart of single pieces against limits 3 standard deviations from their mean. Values in one unit, mm. */
export interface IndividualsChart {
  readonly centre: number;
  /** Standard deviation from piece to piece, from the moving ranges: a slow creep hardly enters it. */
  readonly standardDeviation: number;
  readonly lower: number;
  readonly upper: number;
  readonly meanRange: number;
  /** Limit of a single moving range. */
  readonly rangeUpper: number;
  /** Places (0 first) of the pieces beyond the limits, and of those whose step from the piece before is beyond its limit. */
  readonly beyond: readonly number[];
  readonly jumps: readonly number[];
}

/** Mean range of two readings as a multiple of their standard deviation, 2/√π. */
const D2_OF_TWO = 2 / Math.sqrt(Math.PI);
/** The range's own standard deviation, √(2 − 4/π). */
const D3_OF_TWO = Math.sqrt(2 - 4 / Math.PI);
/** Distance of the limits, in standard deviations. */
export const LIMITS = 3;

/**
 * Individuals chart with moving ranges of two.
 *
 * @param baseline how many of the first pieces set the centre and the spread; default all
 * @throws RangeError for fewer than two pieces
 */
export function individualsChart(
  values: readonly number[],
  baseline: number = values.length,
): IndividualsChart {
  const first = values.slice(0, baseline);
  if (first.length < 2)
    throw new RangeError(
      `A chart needs two pieces at least, to see how they differ; the value was ${first.length}; in individualsChart.`,
    );
  const ranges = movingRanges(values);
  const centre = mean(first);
  const meanRange = mean(ranges.slice(0, first.length - 1));
  const standardDeviation = meanRange / D2_OF_TWO;
  const [lower, upper] = [centre - LIMITS * standardDeviation, centre + LIMITS * standardDeviation];
  const rangeUpper = meanRange + LIMITS * D3_OF_TWO * standardDeviation;
  return {
    ...{ centre, standardDeviation, lower, upper, meanRange, rangeUpper },
    beyond: [...values.keys()].filter((i) => values[i]! < lower || values[i]! > upper),
    jumps: [...ranges.keys()].filter((i) => ranges[i]! > rangeUpper).map((i) => i + 1),
  };
}

const movingRanges = (values: readonly number[]): number[] =>
  values.slice(1).map((value, i) => Math.abs(value - values[i]!));
const mean = (values: readonly number[]): number => values.reduce((sum, x) => sum + x, 0) / values.length;
