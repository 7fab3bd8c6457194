import { at } from "../../core/numeric/dense.js";
import { householderQr, solveTriangle } from "../../core/numeric/linear-algebra.js";
import { normalCdf, normalPdf, normalSurvival } from "../../core/numeric/normal.js";
import { gaussLegendre } from "../../core/numeric/quadrature.js";

/** A chart of single pieces against limits 3 standard deviations from their mean. Values in one unit, mm. */
export interface IndividualsChart {
  readonly centre: number;
  /** Standard deviation from piece to piece, from the moving ranges: a slow creep hardly enters it. */
  readonly standardDeviation: number;
  readonly lower: number;
  readonly upper: number;
  readonly meanRange: number;
  /** Limit of a single moving range, in the unit of the values. */
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
    centre,
    standardDeviation,
    lower,
    upper,
    meanRange,
    rangeUpper,
    beyond: [...values.keys()].filter((i) => at(values, i) < lower || at(values, i) > upper),
    jumps: [...ranges.keys()].filter((i) => at(ranges, i) > rangeUpper).map((i) => i + 1),
  };
}

const movingRanges = (values: readonly number[]): number[] =>
  values.slice(1).map((value, i) => Math.abs(value - at(values, i)));
const mean = (values: readonly number[]): number => values.reduce((sum, x) => sum + x, 0) / values.length;

/** An exponentially weighted moving average of a batch: z_t = λ·x_t + (1 − λ)·z_{t−1}, from the target on. */
export interface EwmaChart {
  /** Weighted averages, piece by piece, in the unit of the values (so are target, standard deviation and limits). */
  readonly averages: readonly number[];
  readonly target: number;
  readonly standardDeviation: number;
  /** Weight λ of the newest piece, and half the distance of the limits in standard deviations of the average. */
  readonly weight: number;
  readonly width: number;
  /** The limits it converges to, in the unit of the values: target ± width·σ·√(λ/(2 − λ)). */
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
  const beyond = [...averages.keys()].filter((i) => at(averages, i) < lower || at(averages, i) > upper);
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

/**
 * Pieces cut, on average, until a chart of single pieces signals, when the mean is off by `shift` standard deviations from the start; its centre and spread known.
 *
 * @example
 * individualsRunLength(0) // 370.4
 */
export function individualsRunLength(shift: number, limits: number = LIMITS): number {
  return 1 / (normalSurvival(limits - shift) + normalSurvival(limits + shift));
}

const NODES = 48;
/** Kernels narrower than this share of the interval are beyond the quadrature; no weight that one would use is as small. */
const LEAST_WEIGHT = 0.01;

/**
 * Pieces cut, on average, until an EWMA chart with converged limits signals, when the mean is off by `shift` standard deviations from the start.
 *
 * The average run length A from an average u (in standard deviations of a piece) obeys A(u) = 1 + ∫ A(v)·φ((v − (1 − λ)u)/λ − shift)/λ dv over −h … h,
 * h = width·√(λ/(2 − λ)): S. V. Crowder, Technometrics 29 (1987), solved at Gauss–Legendre nodes.
 *
 * @param weight λ, 0.01 … 1
 * @throws RangeError for a weight or a width out of range
 * @example
 * ewmaRunLength(0.2, 3, 1) // 10.84
 */
export function ewmaRunLength(weight: number, width: number, shift: number): number {
  requireEwma(weight, width, "ewmaRunLength");
  if (weight < LEAST_WEIGHT)
    throw new RangeError(
      `The weight must be ${LEAST_WEIGHT} at least; the value was ${weight}; in ewmaRunLength.`,
    );
  if (weight === 1) return individualsRunLength(shift, width);
  const half = width * Math.sqrt(weight / (2 - weight));
  const { nodes, weights } = gaussLegendre(NODES);
  const kernel = (u: number, v: number): number =>
    normalPdf((half * v - (1 - weight) * half * u) / weight - shift) / weight;
  const n = NODES;
  const matrix = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++)
      matrix[i * n + j] = (i === j ? 1 : 0) - half * at(weights, j) * kernel(at(nodes, i), at(nodes, j));
  }
  const triangle = householderQr(matrix, n, n, new Float64Array(n).fill(1));
  const lengths = solveTriangle(triangle, triangle.qtb);
  return lengths.reduce(
    (sum, length, j) => sum + half * at(weights, j) * kernel(0, at(nodes, j)) * length,
    1,
  );
}

/** The width at which an EWMA chart gives a false alarm once in `runLength` pieces, 10 … 100,000. */
export function ewmaWidth(weight: number, runLength: number): number {
  if (!(runLength >= 10 && runLength <= 1e5))
    throw new RangeError(
      `A run length lies between 10 and 100,000 pieces; the value was ${runLength}; in ewmaWidth.`,
    );
  let [low, high] = [0.5, 5.5];
  for (let step = 0; step < 40; step++) {
    const middle = (low + high) / 2;
    if (ewmaRunLength(weight, middle, 0) < runLength) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

const STATES = 101;
const MOST_PIECES = 5000;
const GONE = 1e-9;

/**
 * Chance that an EWMA chart has not yet signalled after 0, 1, 2 … pieces whose means are off by `shiftOf(1)`, `shiftOf(2)` … standard deviations:
 * a chain over {@link STATES} bands of the average (D. Brook and D. A. Evans, Biometrika 59 (1972)). Ends when it is below 1e-9.
 */
export function ewmaSilence(
  weight: number,
  width: number,
  shiftOf: (piece: number) => number,
  most: number = MOST_PIECES,
): number[] {
  requireEwma(weight, width, "ewmaSilence");
  const half = width * Math.sqrt(weight / (2 - weight));
  let chances = new Float64Array(STATES);
  chances[(STATES - 1) / 2] = 1;
  const silence = [1];
  let moves: Float64Array = new Float64Array(0);
  let movesAt = Number.NaN;
  for (let piece = 1; piece <= most && at(silence, silence.length - 1) > GONE; piece++) {
    const shift = shiftOf(piece);
    if (shift !== movesAt) [moves, movesAt] = [bandMoves(weight, half, shift), shift];
    const next = new Float64Array(STATES);
    for (let i = 0; i < STATES; i++) {
      for (let j = 0; j < STATES; j++) next[j] = at(next, j) + at(chances, i) * at(moves, i * STATES + j);
    }
    chances = next;
    silence.push(chances.reduce((sum, x) => sum + x, 0));
  }
  return silence;
}

/** Chance to go from the middle of one band of −half … half to any place in another, row-major (from, to). */
function bandMoves(weight: number, half: number, shift: number): Float64Array {
  const band = (2 * half) / STATES;
  const out = new Float64Array(STATES * STATES);
  for (let i = 0; i < STATES; i++) {
    const middle = -half + band * (i + 0.5);
    const upTo = (edge: number): number => normalCdf((edge - (1 - weight) * middle) / weight - shift);
    let below = upTo(-half);
    for (let j = 0; j < STATES; j++) {
      const above = upTo(-half + band * (j + 1));
      out[i * STATES + j] = above - below;
      below = above;
    }
  }
  return out;
}

/** Pieces cut, on average, until an EWMA chart signals, when the mean creeps by `creep` standard deviations a piece. */
export function ewmaCreepLength(weight: number, width: number, creep: number): number {
  return ewmaSilence(weight, width, (piece) => creep * piece).reduce((sum, chance) => sum + chance, 0);
}

/** The same for a chart of single pieces. */
export function individualsCreepLength(creep: number, limits: number = LIMITS): number {
  let [sum, silent] = [0, 1];
  for (let piece = 1; piece <= MOST_PIECES && silent > GONE; piece++) {
    sum += silent;
    const shift = creep * piece;
    silent *= 1 - normalSurvival(limits - shift) - normalSurvival(limits + shift);
  }
  return sum;
}
