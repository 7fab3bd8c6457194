import { UserError } from "../../core/errors.js";
import { at, present } from "../../core/numeric/dense.js";
import { normalCdf, normalPdf, normalSurvival } from "../../core/numeric/normal.js";
import { gaussLegendre } from "../../core/numeric/quadrature.js";
import { fSurvival } from "../../core/numeric/student-t.js";

/** One reading of a gauge study. */
export interface GaugeReading {
  readonly part: string;
  /** Who read it. */
  readonly reader: string;
  /** In one unit throughout, mm or rad. */
  readonly value: number;
}

/** A crossed, balanced study: every reader read every part equally often. */
export interface CrossedTable {
  readonly parts: readonly string[];
  readonly readers: readonly string[];
  readonly repeats: number;
  /** Readings of a part by a reader, in the order they were taken. */
  readonly cell: (part: number, reader: number) => readonly number[];
}

/** Fewest parts, and fewest readings of each part by each reader. */
export const LEAST = { parts: 2, repeats: 2 } as const;

/**
 * Sorts readings by part and reader, in the order in which they first appear.
 *
 * @throws UserError (code "gauge") when a reader did not read every part as often as the others, or there is too little to tell anything.
 */
export function crossedTable(readings: readonly GaugeReading[]): CrossedTable {
  const parts = [...new Set(readings.map(({ part }) => part))];
  const readers = [...new Set(readings.map(({ reader }) => reader))];
  const cells = new Map<string, number[]>();
  const key = (part: string, reader: string): string => JSON.stringify([part, reader]);
  for (const { part, reader, value } of readings) {
    if (!Number.isFinite(value))
      throw new UserError(
        "gauge",
        `A reading of part ${part} is no number; every reading must be one; the value was ${value}.`,
        { key: ["value"] },
      );
    cells.set(key(part, reader), [...(cells.get(key(part, reader)) ?? []), value]);
  }
  if (parts.length < LEAST.parts) {
    throw new UserError(
      "gauge",
      `There are too few parts; a study needs ${LEAST.parts} at least, and ten is usual; there ${parts.length === 1 ? "is 1" : `are ${parts.length}`}.`,
      { key: ["part"] },
    );
  }
  const counts = parts.flatMap((part) =>
    readers.map((reader) => ({ part, reader, count: cells.get(key(part, reader))?.length ?? 0 })),
  );
  const repeats = at(counts, 0).count;
  const odd = counts.find(({ count }) => count !== repeats);
  if (odd) {
    throw new UserError(
      "gauge",
      `The study is not balanced; every reader reads every part equally often; ${at(counts, 0).reader} read part ${at(counts, 0).part} ${times(repeats)} and ${odd.reader} read part ${odd.part} ${times(odd.count)}.`,
      { key: ["part"] },
    );
  }
  if (repeats < LEAST.repeats) {
    throw new UserError(
      "gauge",
      `There are no repeated readings; every reader reads every part ${LEAST.repeats} times at least; each was read ${times(repeats)}.`,
      { key: ["part"] },
    );
  }
  return { parts, readers, repeats, cell: (p, r) => present(cells.get(key(at(parts, p), at(readers, r)))) };
}

const times = (count: number): string =>
  count === 0 ? "never" : count === 1 ? "once" : count === 2 ? "twice" : `${count} times`;

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
 * An interaction at least this likely by luck is pooled with the repeats: the level of a preliminary test that H. Bozivich, T. A. Bancroft and H. O. Hartley
 * (Ann. Math. Stat. 27, 1956) and Bancroft (Biometrics 20, 1964) recommend (from memory).
 * Pooling what looks small takes the repeatability a little low: its variance by a few per cent for five parts, three readers and two repeats.
 */
export const POOL_FROM = 0.25;

/**
 * Two-way crossed analysis of variance with repeats; one-way when there is one reader.
 * Parts and readers are tested against their interaction, or against interaction and repeats pooled.
 */
export function analysisOfVariance(table: CrossedTable): VarianceAnalysis {
  const { parts, readers, repeats } = table;
  const cell = cellsFromFirst(table);
  const [p, o, r] = [parts.length, readers.length, repeats];
  const means = parts.map((_, i) => readers.map((_, j) => mean(cell(i, j))));
  const grand = mean(means.flat());
  const partMeans = means.map(mean);
  const readerMeans = readers.map((_, j) => mean(means.map((row) => at(row, j))));
  const squares = (values: readonly number[]): number => values.reduce((sum, x) => sum + x * x, 0);
  const ofParts = o * r * squares(partMeans.map((m) => m - grand));
  const ofReaders = p * r * squares(readerMeans.map((m) => m - grand));
  const ofInteraction =
    r *
    squares(means.flatMap((row, i) => row.map((m, j) => m - at(partMeans, i) - at(readerMeans, j) + grand)));
  const ofRepeats = squares(
    parts.flatMap((_, i) => readers.flatMap((_, j) => cell(i, j).map((y) => y - at(at(means, i), j)))),
  );
  const repeatLine = line(ofRepeats, p * o * (r - 1));
  if (o === 1) {
    const partLine = line(ofParts, p - 1, repeatLine);
    return { parts: partLine, readers: null, interaction: null, repeats: repeatLine, pooled: null };
  }
  const interaction = line(ofInteraction, (p - 1) * (o - 1), repeatLine);
  const pooled =
    present(interaction.probability) >= POOL_FROM
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

/**
 * The readings counted from the first one, which for readings far from zero is exact: their means then lose no digits to what all have in common. What the
 * decimals have lost in binary form is lost: 0.1 behind 10⁶ is known to nine digits, behind 10¹² to three.
 */
function cellsFromFirst({ cell }: CrossedTable): CrossedTable["cell"] {
  const first = at(cell(0, 0), 0);
  return (part, reader) => cell(part, reader).map((value) => value - first);
}

function line(sumOfSquares: number, degreesOfFreedom: number, against?: VarianceLine): VarianceLine {
  const meanSquare = sumOfSquares / degreesOfFreedom;
  // Without any spread to compare with, what spreads at all stands out, and what does not is no sign of anything.
  const f = against ? (meanSquare === 0 ? 0 : meanSquare / against.meanSquare) : null;
  const probability = f === null ? null : fSurvival(f, degreesOfFreedom, against!.degreesOfFreedom);
  return { sumOfSquares, degreesOfFreedom, meanSquare, f, probability };
}

const mean = (values: readonly number[]): number => values.reduce((sum, x) => sum + x, 0) / values.length;

/** A gauge study by averages and ranges, as one does it with a pencil: standard deviations, in the readings' unit. */
export interface RangesStudy {
  readonly meanRange: number;
  readonly repeatability: number;
  /** Standard deviation from reader to reader, mm or rad; 0 for one reader, or when the readers differ by no more than their repeats explain. */
  readonly reproducibility: number;
  /** Standard deviation of both together, mm or rad. */
  readonly gauge: number;
  /** Standard deviation from part to part, and of everything together, mm or rad. */
  readonly parts: number;
  readonly total: number;
}

/** From this many ranges on, their mean is divided by d2 itself. Common practice, no source. */
const MANY_RANGES = 15;

/** Repeatability from the mean range of repeats, reproducibility from the spread of the readers' means, parts from that of the parts' means. */
export function rangesMethod(table: CrossedTable): RangesStudy {
  const { parts, readers, repeats } = table;
  const cell = cellsFromFirst(table);
  const [p, o, r] = [parts.length, readers.length, repeats];
  const ranges = parts.flatMap((_, i) => readers.map((_, j) => rangeOf(cell(i, j))));
  const meanRange = mean(ranges);
  const divisor = ranges.length > MANY_RANGES ? rangeConstants(r).d2 : rangeDivisor(r, ranges.length);
  const repeatability = meanRange / divisor;
  const readerMeans = readers.map((_, j) => mean(parts.flatMap((_, i) => cell(i, j))));
  const partMeans = parts.map((_, i) => mean(readers.flatMap((_, j) => cell(i, j))));
  const betweenReaders = o === 1 ? 0 : rangeOf(readerMeans) / rangeDivisor(o, 1);
  const reproducibility = Math.sqrt(Math.max(0, betweenReaders ** 2 - repeatability ** 2 / (p * r)));
  const gauge = Math.hypot(repeatability, reproducibility);
  const betweenParts = rangeOf(partMeans) / rangeDivisor(p, 1);
  return {
    meanRange,
    repeatability,
    reproducibility,
    gauge,
    parts: betweenParts,
    total: Math.hypot(gauge, betweenParts),
  };
}
const rangeOf = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);

/** Mean and standard deviation of the range of n readings, as multiples of their standard deviation. */
export interface RangeConstants {
  readonly d2: number;
  readonly d3: number;
}

const WIDEST = 16;
const FARTHEST = 9;
const STEP = 0.05;
const RULE = gaussLegendre(64);

/**
 * d2 and d3 for samples of n ≥ 2 from a normal, by quadrature of P(W ≤ w) = n ∫ φ(x) [Φ(x + w) − Φ(x)]ⁿ⁻¹ dx.
 * Within 1e-10 of the closed forms for n = 2 and 3 (d2 = 2/√π and 3/√π).
 */
export function rangeConstants(n: number): RangeConstants {
  if (!(Number.isInteger(n) && n >= 2))
    throw new RangeError(
      `A range is of two readings at least; n must be whole and ≥ 2; the value was ${n}; in rangeConstants.`,
    );
  let [first, second] = [0, 0];
  for (const [k, node] of RULE.nodes.entries()) {
    const w = (WIDEST / 2) * (1 + node);
    const weight = (WIDEST / 2) * at(RULE.weights, k);
    const beyond = 1 - rangeAtMost(w, n);
    first += weight * beyond;
    second += 2 * weight * w * beyond;
  }
  return { d2: first, d3: Math.sqrt(second - first ** 2) };
}

/** By the trapezoidal rule, which for a smooth integrand that dies away at both ends errs less than any power of its step. */
function rangeAtMost(w: number, n: number): number {
  let sum = 0;
  for (let x = -FARTHEST - w; x <= FARTHEST; x += STEP) {
    const inside = x > 0 ? normalSurvival(x) - normalSurvival(x + w) : normalCdf(x + w) - normalCdf(x);
    sum += normalPdf(x) * inside ** (n - 1);
  }
  return n * STEP * sum;
}

/**
 * Mean of the root of the mean square of `groups` ranges of n readings, as a multiple of their standard deviation:
 * √(d2² + d3²/groups). For one group it is what a single range is divided by to estimate a standard deviation whose square is right on average.
 */
export function rangeDivisor(n: number, groups: number): number {
  const { d2, d3 } = rangeConstants(n);
  return Math.sqrt(d2 ** 2 + d3 ** 2 / groups);
}
