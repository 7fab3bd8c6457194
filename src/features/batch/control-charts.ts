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

/** An exponentially weighted moving average of a batch: z_t = λ·x_t + (1 − λ)·z_{t−1}, from the target on. */
export interface EwmaChart {
  readonly averages: readonly number[];
  readonly target: number;
  readonly standardDeviation: number;
  readonly weight: number;
  readonly width: number;
  /** The limits it converges to: target ± width·σ·√(λ/(2 − λ)). */
  readonly lower: number;
  readonly upper: number;
  /** Places (0 first) of the averages beyond the limits. */
  readonly beyond: readonly number[];
}

interface EwmaOptions {
  /** What the pieces should be, mm. */
  readonly target: number;
  /** From piece to piece, mm, > 0. */
  readonly standardDeviation: number;
  /** λ, how much the newest piece counts, 0 < λ ≤ 1. Small finds a creep, 1 is a chart of single pieces. */
  readonly weight: number;
  /** Distance of the limits, in the average's own standard deviations, > 0. */
  readonly width: number;
}

/** Usual weight for a creep of about one standard deviation. Common practice, no source. */
export const EWMA_WEIGHT = 0.2;

/** @throws RangeError for a weight, width or standard deviation out of range. */
export function ewmaChart(values: readonly number[], options: EwmaOptions): EwmaChart {
  const { target, standardDeviation, weight, width } = options;
  requireEwma(weight, width, "ewmaChart");
  if (!(standardDeviation > 0))
    throw new RangeError(
      `The standard deviation must be more than zero; the value was ${standardDeviation}; in ewmaChart.`,
    );
  const half = width * standardDeviation * Math.sqrt(weight / (2 - weight));
  const [lower, upper] = [target - half, target + half];
  let average = target;
  const averages = values.map((value) => {
    average = weight * value + (1 - weight) * average;
    return average;
  });
  const beyond = [...averages.keys()].filter((i) => averages[i]! < lower || averages[i]! > upper);
  return { averages, ...options, lower, upper, beyond };
}

export function requireEwma(weight: number, width: number, where: string): void {
  if (!(weight > 0 && weight <= 1))
    throw new RangeError(
      `The weight must be more than 0 and at most 1; the value was ${weight}; in ${where}.`,
    );
  if (!(width > 0))
    throw new RangeError(`The width must be more than 0; the value was ${width}; in ${where}.`);
}
