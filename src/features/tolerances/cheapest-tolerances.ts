import { at } from "../../core/numeric/dense.js";
import { normalQuantile } from "../../core/numeric/normal.js";

/** How a chance answers to tolerances. */
export interface ChanceAt {
  /** Chance that a cell closes, above 0 and below 1. */
  readonly chance: number;
  /** Change of the chance per unit of the logarithm of each tolerance, worked out when asked for; below zero where looser is worse. */
  readonly slopes: () => Float64Array;
}

/** Costs and chances of tolerances, each tolerance as a share of today's; `wanted`: the chance to reach, between 0 and 1. */
export interface ToleranceProblem {
  /** Cost of each tolerance at 1; at s it is that over s. */
  readonly costs: readonly number[];
  /** Finest and loosest tolerance, as a share of today's, > 0. */
  readonly finest: number;
  readonly loosest: number;
  /** The chance to reach, 0 to 1. */
  readonly wanted: number;
  /** Chance at tolerances. */
  readonly chanceAt: (tolerances: Float64Array) => ChanceAt;
  /** Where to begin, as shares of today's; default 1 everywhere. */
  readonly start?: Float64Array;
  /** First bound on the change of the logarithm of a tolerance as a share of today's, > 0: small where the start is near; default 0.7. */
  readonly reach?: number;
  /** A step that lowers the cost by less than this share of it is the last, > 0; default 1e-5. */
  readonly gained?: number;
}

/** The cheapest tolerances that were found, each as a share of today's (1: as it is), what they cost together, and how often cells close with them. */
export interface CheapestTolerances {
  /**
   * `found`: no cheaper ones near by reach the chance. `out of reach`: the finest do not reach it, and stand here. `not converged`: the steps ran out; what stands here is the
   * best that was met.
   */
  readonly status: "found" | "out of reach" | "not converged";
  /** Each as a share of today's, > 0; and what they cost together, in the unit of the problem's costs. */
  readonly tolerances: Float64Array;
  readonly cost: number;
  /** Chance that a cell closes with them, 0 to 1, as `chanceAt` has it. */
  readonly chance: number;
  /** Cost of one more hundredth of the chance from here, in the unit of the costs; 0 where nothing can be traded. */
  readonly price: number;
  /** Number of steps the search took. */
  readonly steps: number;
}

const MOST_STEPS = 80;
/** A step that changes no tolerance by more than this share is the last. */
const CONVERGED = 2e-3;
/** First and largest, and smallest bound on the change of a tolerance's logarithm. */
const FIRST_REACH = 0.7;
const LEAST_REACH = 1e-3;
const BISECTIONS = 100;
const MOST_CORRECTIONS = 3;
/** A chance this close to the one wanted, as a normal quantile, is reached. */
const REACHED = 1e-3;

/**
 * The cheapest tolerances s that reach a chance, where a tolerance costs a/s.
 *
 * Sequential convex programming in u = log s: the chance's normal quantile is taken as linear about the point reached, and Σ a·e^(−u) is made least over that half-space and a box about
 * the point. That part has a closed solution: every cost a/s not at a bound is λ times how steeply the chance falls with log s, so that money goes where it buys chance; λ by bisection.
 * A step that makes cost plus penalty no better halves the box (an exact penalty: R. Fletcher, *Practical Methods of Optimization*, 1987, ch. 14, from memory).
 *
 * @example
 * const chanceAt = ([s]) => ({ chance: 1 - s / 2, slopes: () => Float64Array.of(-s / 2) });
 * cheapestTolerances({ costs: [1], finest: 0.1, loosest: 2, wanted: 0.75, chanceAt }).tolerances[0] // 0.5
 */
export function cheapestTolerances(problem: ToleranceProblem): CheapestTolerances {
  const { costs, finest, loosest, wanted, chanceAt, gained = 1e-5 } = problem;
  const [low, high] = [Math.log(finest), Math.log(loosest)];
  const goal = normalQuantile(wanted);
  const look = (u: Float64Array): Point => {
    const { chance, slopes } = chanceAt(u.map(Math.exp));
    const inside = Math.min(Math.max(chance, 1e-9), 1 - 1e-9);
    const quantile = normalQuantile(inside);
    const density = Math.exp(-(quantile ** 2) / 2) / Math.sqrt(2 * Math.PI);
    const cost = costs.reduce((sum, a, i) => sum + a * Math.exp(-at(u, i)), 0);
    let known: Float64Array | null = null;
    const kept = (): Float64Array => {
      known ??= slopes().map((slope) => slope / density);
      return known;
    };
    return { u, chance, cost, short: goal - quantile, slopes: kept, density };
  };
  const answer = (status: CheapestTolerances["status"], point: Point, steps: number): CheapestTolerances => ({
    status,
    cost: point.cost,
    chance: point.chance,
    steps,
    tolerances: point.u.map(Math.exp),
    price: priceAt(point, costs, low, high) * HUNDREDTH,
  });
  const best = look(new Float64Array(costs.length).fill(low));
  if (best.short > REACHED) return answer("out of reach", best, 0);
  let point = look(
    (problem.start ?? new Float64Array(costs.length).fill(1)).map((s) => clamp(Math.log(s), low, high)),
  );
  let reach = problem.reach ?? FIRST_REACH;
  for (let step = 1; step <= MOST_STEPS; step++) {
    const box = Array.from(point.u, (u): [number, number] => [
      Math.max(low, u - reach),
      Math.min(high, u + reach),
    ]);
    const next = convexStep(point, costs, box);
    const change = Math.max(...next.map((u, i) => Math.abs(u - at(point.u, i))));
    // Missing the goal costs more than any price met on the way.
    const penalty =
      10 *
      Math.max(
        priceAt(point, costs, low, high) * point.density,
        costs.reduce((a, b) => a + b, 0),
      );
    const merit = ({ cost, short }: Point): number => cost + penalty * Math.max(0, short);
    let tried = look(next);
    for (let k = 0; k < MOST_CORRECTIONS && tried.short > REACHED / 100; k++) {
      const corrected = look(backToGoal(tried, point.slopes(), low, high));
      if (merit(corrected) >= merit(tried)) break;
      tried = corrected;
    }
    const gain = merit(point) - merit(tried);
    if (gain > 0) {
      point = tried;
      if (gain < gained * point.cost && point.short < REACHED) return answer("found", point, step);
      if (change > 0.9 * reach) reach = Math.min(2 * reach, FIRST_REACH);
    } else reach /= 2;
    if ((change < CONVERGED || reach < LEAST_REACH) && point.short < REACHED)
      return answer("found", point, step);
    if (reach < LEAST_REACH / 8) break;
  }
  return answer("not converged", point, MOST_STEPS);
}

const HUNDREDTH = 0.01;
const clamp = (x: number, low: number, high: number): number => Math.min(Math.max(x, low), high);

interface Point {
  readonly u: Float64Array;
  readonly chance: number;
  readonly cost: number;
  /** By how much the chance's quantile falls short of the goal. */
  readonly short: number;
  /** Of the quantile, worked out once. */
  readonly slopes: () => Float64Array;
  /** Of the normal distribution at the quantile: d chance / d quantile. */
  readonly density: number;
}

/**
 * The least change of the logarithms that brings the quantile back to the goal, by the slopes of the point that the step began at (second-order correction: J. Nocedal and S. Wright, *Numerical
 * Optimization*, 2006, section 18.3, from memory). Without it a curved chance lets only tiny steps pass.
 */
function backToGoal({ u, short }: Point, slopes: Float64Array, low: number, high: number): Float64Array {
  const square = slopes.reduce((sum, slope) => sum + slope * slope, 0);
  return u.map((value, i) => clamp(value + (short / square) * at(slopes, i), low, high));
}

/** Least Σ a·e^(−u) over the box where the linear quantile reaches the goal; as near to the goal as the box allows where it does not. */
function convexStep(
  { u, short, ...point }: Point,
  costs: readonly number[],
  box: readonly (readonly [number, number])[],
): Float64Array {
  const slopes = point.slopes();
  const at = (lambda: number): Float64Array =>
    Float64Array.from(costs, (a, i) => {
      const fall = -slopes[i]!;
      const [low, high] = box[i]!;
      return fall > 0 ? clamp(Math.log(a / (lambda * fall)), low, high) : high;
    });
  const reached = (v: Float64Array): boolean =>
    v.reduce((sum, value, i) => sum + slopes[i]! * (value - u[i]!), 0) >= short;
  let [cheap, dear] = [Math.log(1e-12), Math.log(1e12)];
  if (reached(at(Math.exp(cheap)))) return at(Math.exp(cheap));
  for (let k = 0; k < BISECTIONS; k++) {
    const middle = (cheap + dear) / 2;
    if (reached(at(Math.exp(middle)))) dear = middle;
    else cheap = middle;
  }
  return at(Math.exp(dear));
}

/** Cost of a unit of chance: the median over tolerances that stand at no bound. */
function priceAt(
  { u, density, ...point }: Point,
  costs: readonly number[],
  low: number,
  high: number,
): number {
  const slopes = point.slopes();
  const prices = costs
    .flatMap((a, i) => {
      const fall = -at(slopes, i) * density;
      const free = at(u, i) > low + CONVERGED && at(u, i) < high - CONVERGED;
      return free && fall > 0 ? [(a * Math.exp(-at(u, i))) / fall] : [];
    })
    .sort((a, b) => a - b);
  return prices[Math.floor(prices.length / 2)] ?? 0;
}
