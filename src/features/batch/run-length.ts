import { householderQr, solveTriangle } from "../../core/numeric/linear-algebra.js";
import { normalCdf, normalPdf, normalSurvival } from "../../core/numeric/normal.js";
import { gaussLegendre } from "../../core/numeric/quadrature.js";
import { LIMITS, requireEwma } from "./control-charts.js";

/** Pieces cut, on average, until a chart of single pieces signals, when the mean is off by `shift` standard deviations from the start; its centre and spread known. */
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
      matrix[i * n + j] = (i === j ? 1 : 0) - half * weights[j]! * kernel(nodes[i]!, nodes[j]!);
  }
  const triangle = householderQr(matrix, n, n, new Float64Array(n).fill(1));
  const lengths = solveTriangle(triangle, triangle.qtb);
  return lengths.reduce((sum, length, j) => sum + half * weights[j]! * kernel(0, nodes[j]!) * length, 1);
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
  for (let piece = 1; piece <= most && silence.at(-1)! > GONE; piece++) {
    const shift = shiftOf(piece);
    if (shift !== movesAt) [moves, movesAt] = [bandMoves(weight, half, shift), shift];
    const next = new Float64Array(STATES);
    for (let i = 0; i < STATES; i++) {
      for (let j = 0; j < STATES; j++) next[j]! += chances[i]! * moves[i * STATES + j]!;
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
