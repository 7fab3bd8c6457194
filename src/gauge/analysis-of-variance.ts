import { fSurvival } from "../numeric/f-survival.js";
import type { CrossedTable } from "./gauge-reading.js";

/** One line of an analysis of variance. */
export interface VarianceLine {
  readonly sumOfSquares: number;
  readonly degreesOfFreedom: number;
  readonly meanSquare: number;
  /** Ratio to the mean square it is tested against, and the chance of a larger one by luck; `null` where there is none. */
  readonly f: number | null;
  readonly probability: number | null;
}

/** Where the readings' variance comes from. Lines that a study cannot have (one reader) are `null`. */
export interface VarianceAnalysis {
  readonly parts: VarianceLine;
  readonly readers: VarianceLine | null;
  readonly interaction: VarianceLine | null;
  /** Readings of one part by one reader. */
  readonly repeats: VarianceLine;
  /** Interaction and repeats together, when the interaction was not told from repeats; then parts and readers are tested against it. */
  readonly pooled: VarianceLine | null;
}

/**
 * An interaction at least this likely by luck is pooled with the repeats. Common practice, no source.
 * Pooling what looks small takes the repeatability a little low: its variance by a few per cent for five parts, three readers and two repeats.
 */
export const POOL_FROM = 0.25;

/**
 * Two-way crossed analysis of variance with repeats; one-way when there is one reader.
 * Parts and readers are tested against their interaction, or against interaction and repeats pooled.
 */
export function analysisOfVariance(table: CrossedTable): VarianceAnalysis {
  const { parts, readers, repeats, cell } = table;
  const [p, o, r] = [parts.length, readers.length, repeats];
  const means = parts.map((_, i) => readers.map((_, j) => mean(cell(i, j))));
  const grand = mean(means.flat());
  const partMeans = means.map(mean);
  const readerMeans = readers.map((_, j) => mean(means.map((row) => row[j]!)));
  const squares = (values: readonly number[]): number => values.reduce((sum, x) => sum + x * x, 0);
  const ofParts = o * r * squares(partMeans.map((m) => m - grand));
  const ofReaders = p * r * squares(readerMeans.map((m) => m - grand));
  // Around means, so that readings far from zero lose no digits.
  const ofInteraction =
    r * squares(means.flatMap((row, i) => row.map((m, j) => m - partMeans[i]! - readerMeans[j]! + grand)));
  const ofRepeats = squares(
    parts.flatMap((_, i) => readers.flatMap((_, j) => cell(i, j).map((y) => y - means[i]![j]!))),
  );
  const repeatLine = line(ofRepeats, p * o * (r - 1));
  if (o === 1) {
    const partLine = line(ofParts, p - 1, repeatLine);
    return { parts: partLine, readers: null, interaction: null, repeats: repeatLine, pooled: null };
  }
  const interaction = line(ofInteraction, (p - 1) * (o - 1), repeatLine);
  const pooled =
    interaction.probability! >= POOL_FROM
      ? line(ofInteraction + ofRepeats, interaction.degreesOfFreedom + repeatLine.degreesOfFreedom)
      : null;
  const against = pooled ?? interaction;
  return {
    parts: line(ofParts, p - 1, against),
    readers: line(ofReaders, o - 1, against),
    interaction,
    repeats: repeatLine,
    pooled,
  };
}

function line(sumOfSquares: number, degreesOfFreedom: number, against?: VarianceLine): VarianceLine {
  const meanSquare = sumOfSquares / degreesOfFreedom;
  // Without any spread to compare with, what spreads at all stands out, and what does not is no sign of anything.
  const f = against ? (meanSquare === 0 ? 0 : meanSquare / against.meanSquare) : null;
  const probability = f === null ? null : fSurvival(f, degreesOfFreedom, against!.degreesOfFreedom);
  return { sumOfSquares, degreesOfFreedom, meanSquare, f, probability };
}

const mean = (values: readonly number[]): number => values.reduce((sum, x) => sum + x, 0) / values.length;
