/** An exponentially weighted moving average of a batch: z_t = λ·x_t + (1 − λ)·z_{t−1}, from the target on. */
export interface EwmaChart {
  readonly averages: readonly number[];
  readonly target: number;
  readonly standardDeviation: number;
  readonly weight: number;
  readonly width: number;
  /** The limits it settles to: target ± width·σ·√(λ/(2 − λ)). */
  readonly lower: number;
  readonly upper: number;
  /** Places (0 first) of the averages beyond the limits. */
  readonly beyond: readonly number[];
}

export interface EwmaOptions {
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
