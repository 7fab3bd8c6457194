import { refuse } from "../core/errors.js";
import { at } from "../core/numeric/dense.js";
import { needLimits } from "./distributions.js";
import type { Model } from "./inputs.js";
import { significant } from "./monte-carlo-blocks.js";

/** Up to this many inputs every corner of the box is tried (2¹⁴ = 16 384). */
export const DEFAULT_MOST_ALL_CORNERS = 14;

/** One input of a worst case: its name and limits. */
export interface BoxSide {
  readonly name: string;
  /** Limits between which the input lies, in its own unit; low < high. */
  readonly low: number;
  readonly high: number;
}

/** How the worst case is looked for. */
export interface WorstCaseOptions {
  /** All corners are tried up to this number of inputs, 0 … 20; default 14. */
  readonly mostAllCorners?: number;
  /** Largest |∂f/∂xᵢ| anywhere in the box, one an input, unit of the output by unit of the input, if the caller can vouch for it: gives limits the output cannot pass, whatever the search missed. */
  readonly slopeBounds?: readonly number[];
  /** Corners the caller has reason to suspect, each input in its own unit: the search also sets out from the best and the least of them. */
  readonly starts?: readonly Float64Array[];
  /** The climbing ends when its steps are this share of the sides, 10⁻¹² … 0.25; default 10⁻⁶. */
  readonly smallestStep?: number;
}

/** An extreme that was found, and where. */
export interface Extreme {
  /** The output there, in its unit. */
  readonly value: number;
  /** Value of each input there, in its own unit. */
  readonly at: Float64Array;
  /** Whether every input stands at one of its limits there. */
  readonly corner: boolean;
}

/** Extremes of a model over a box. */
export interface WorstCase {
  /** `all corners`: every one was tried. `searched`: too many, so only those that climbing led to. */
  readonly status: "all corners" | "searched";
  readonly sentence: string;
  readonly minimum: Extreme;
  readonly maximum: Extreme;
  /** Limits the output cannot pass, in its unit; `null` unless slope bounds were given. */
  readonly limits: readonly [number, number] | null;
  /** Number of times the model was evaluated. */
  readonly evaluations: number;
}

/**
 * Smallest and largest value of a model when every input may stand anywhere between its limits, all at once.
 *
 * What it guarantees: both extremes are reached, so the worst case is *at least* this bad. With all corners tried they are
 * exact for a model that is monotone, or straight, in each input by itself; the maximum also for a convex one. Beyond that
 * a compass search from the middle and the best corners looks inside the box, without a guarantee.
 * @throws RangeError for no sides, reversed limits, slope bounds of the wrong number, a value that is not finite
 * @example
 * worstCase(([x, y]) => x - y, [{ name: "x", low: 0, high: 1 }, { name: "y", low: 0, high: 2 }]).minimum.value // -2
 */
export function worstCase(model: Model, box: readonly BoxSide[], options: WorstCaseOptions = {}): WorstCase {
  const { slopeBounds } = options;
  needBox(box, options);
  if (slopeBounds && slopeBounds.length !== box.length)
    refuse(
      "there are not as many slope bounds as inputs",
      `${box.length} needed`,
      slopeBounds.length,
      "worstCase",
    );
  let evaluations = 0;
  const f = (x: Float64Array): number => {
    evaluations++;
    return finite(model, x);
  };
  const [best, least] = [1, -1].map((sign) => extreme((x) => sign * f(x), box, options)) as [Climb, Climb];
  const maximum = found(best.value, best.at, box);
  const minimum = found(-least.value, least.at, box);
  const limits = slopeBounds ? outerLimits(f, box, slopeBounds) : null;
  const status = allTried(box, options) ? "all corners" : "searched";
  return {
    status,
    sentence: sentenceOf(status, minimum, maximum, limits),
    minimum,
    maximum,
    limits,
    evaluations,
  };
}

/**
 * The largest value alone, found as {@link worstCase} finds it in half the evaluations.
 * @throws RangeError for no sides, reversed limits, a value that is not finite
 * @example
 * largestCase(([x, y]) => x - y, [{ name: "x", low: 0, high: 1 }, { name: "y", low: 0, high: 2 }]).value // 1
 */
export function largestCase(
  model: Model,
  box: readonly BoxSide[],
  options: Omit<WorstCaseOptions, "slopeBounds"> = {},
): Extreme {
  needBox(box, options);
  const best = extreme((x) => finite(model, x), box, options);
  return found(best.value, best.at, box);
}

function needBox(box: readonly BoxSide[], { mostAllCorners = 0, smallestStep }: WorstCaseOptions): void {
  if (box.length === 0) refuse("the box has no sides", "give at least one input", 0, "worstCase");
  if (!(mostAllCorners >= 0 && mostAllCorners <= 20))
    refuse("the limit for all corners is out of range", "0 … 20", mostAllCorners, "worstCase");
  if (smallestStep !== undefined && !(smallestStep >= 1e-12 && smallestStep <= FIRST_STEP))
    refuse("the smallest step is out of range", "10⁻¹² … 0.25", smallestStep, "worstCase");
  for (const { name, low, high } of box) needLimits(low, high, name);
}

function finite(model: Model, x: Float64Array): number {
  const y = model(x);
  if (!Number.isFinite(y))
    refuse("the model gave no number", "its value must be finite", y, `point ${x.join(", ")}`);
  return y;
}

const allTried = (
  box: readonly BoxSide[],
  { mostAllCorners = DEFAULT_MOST_ALL_CORNERS }: WorstCaseOptions,
): boolean => box.length <= mostAllCorners;

function extreme(f: Model, box: readonly BoxSide[], options: WorstCaseOptions): Climb {
  const { starts = [], smallestStep } = options;
  const all = allTried(box, options);
  const middle = Float64Array.from(box, ({ low, high }) => low + (high - low) / 2);
  const corners = all ? [bestCorner(f, box)] : [flipped(f, box, uphillCorner(f, box, middle))];
  if (!all && starts.length > 0) corners.push(flipped(f, box, highest(f, starts)));
  return [middle, ...corners]
    .map((start) => climb(f, box, start, smallestStep))
    .reduce((a, b) => (b.value > a.value ? b : a));
}

function highest(f: Model, points: readonly Float64Array[]): Float64Array {
  const values = points.map((point) => f(point.slice()));
  return at(points, values.indexOf(Math.max(...values)));
}

function bestCorner(f: Model, box: readonly BoxSide[]): Float64Array {
  let [best, value] = [new Float64Array(box.length), -Infinity];
  for (let code = 0; code < 2 ** box.length; code++) {
    const x = Float64Array.from(box, ({ low, high }, i) => ((code >> i) & 1 ? high : low));
    const y = f(x.slice());
    if (y > value) [best, value] = [x, y];
  }
  return best;
}

/** The corner to which each input by itself leads up from the middle. */
function uphillCorner(f: Model, box: readonly BoxSide[], middle: Float64Array): Float64Array {
  const from = (i: number, end: number): number => {
    const x = middle.slice();
    x[i] = end;
    return f(x);
  };
  return middle.map((_, i) => {
    const { low, high } = at(box, i);
    return from(i, high) > from(i, low) ? high : low;
  });
}

/** From a corner, flips single inputs while that climbs. */
function flipped(f: Model, box: readonly BoxSide[], corner: Float64Array): Float64Array {
  const x = corner.slice();
  let value = f(x.slice());
  for (let changed = true; changed; ) {
    changed = false;
    for (const [i, { low, high }] of box.entries()) {
      const other = x.slice();
      other[i] = x[i] === high ? low : high;
      const y = f(other.slice());
      if (y > value) {
        x[i] = at(other, i);
        value = y;
        changed = true;
      }
    }
  }
  return x;
}

function found(value: number, at: Float64Array, box: readonly BoxSide[]): Extreme {
  return { value, at, corner: box.every(({ low, high }, i) => at[i] === low || at[i] === high) };
}

/** f(middle) ± Σ half-width times slope bound. */
function outerLimits(
  f: Model,
  box: readonly BoxSide[],
  slopes: readonly number[],
): readonly [number, number] {
  const middle = f(Float64Array.from(box, ({ low, high }) => low + (high - low) / 2));
  const reach = box.reduce((sum, { low, high }, i) => sum + (Math.abs(at(slopes, i)) * (high - low)) / 2, 0);
  return [middle - reach, middle + reach];
}

function sentenceOf(
  status: WorstCase["status"],
  minimum: Extreme,
  maximum: Extreme,
  limits: readonly [number, number] | null,
): string {
  const range = `The output reaches from ${significant(minimum.value, 4)} to ${significant(maximum.value, 4)}, at least.`;
  const how =
    status === "all corners"
      ? "Every corner was tried: exact if each input by itself only raises or only lowers the output."
      : "There are too many corners to try all: these were found by climbing.";
  const sure = limits ? ` It cannot pass ${significant(limits[0], 4)} and ${significant(limits[1], 4)}.` : "";
  return `${range} ${how}${sure}`;
}

/** Where a climb ended. */
export interface Climb {
  readonly value: number;
  readonly at: Float64Array;
}

/** The search begins and ends with steps of these shares of the sides. */
const FIRST_STEP = 0.25;
const SMALLEST_STEP = 1e-6;
const MOST_ROUNDS = 400;

/**
 * Climbs from `start` by steps along single inputs, never leaving the box; halves the steps where none climbs
 * (compass search; R. M. Lewis, V. Torczon and M. W. Trosset, J. Comput. Appl. Math. 124, 2000). Ends at a local maximum.
 */
export function climb(
  f: Model,
  box: readonly { readonly low: number; readonly high: number }[],
  start: Float64Array,
  smallestStep = SMALLEST_STEP,
): Climb {
  const at = start.slice();
  let value = f(at.slice());
  let share = FIRST_STEP;
  for (let round = 0; round < MOST_ROUNDS && share > smallestStep; round++) {
    let climbed = false;
    for (let i = 0; i < at.length; i++) {
      const { low, high } = box[i]!;
      for (const sign of [1, -1]) {
        const moved = at.slice();
        moved[i] = Math.min(high, Math.max(low, at[i]! + sign * share * (high - low)));
        if (moved[i] === at[i]) continue;
        const y = f(moved.slice());
        if (y > value) {
          at[i] = moved[i]!;
          value = y;
          climbed = true;
          break;
        }
      }
    }
    if (!climbed) share /= 2;
  }
  return { value, at };
}
