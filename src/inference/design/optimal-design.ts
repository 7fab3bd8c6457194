import { addScaled, at, innerProduct, minus } from "../../core/numeric/dense.js";
import { type Criterion, criterionSlopes, criterionValue, rateOf } from "./criterion.js";

/** A problem of optimal weights over candidates: how a given total is best distributed among them. */
export interface DesignProblem {
  /** Number of unknowns. */
  readonly unknowns: number;
  /** Information of each candidate at weight 1, one matrix (row-major) for each scenario. */
  readonly candidates: readonly (readonly Float64Array[])[];
  readonly criterion: Criterion;
  /** Information already available (a prior, earlier readings), row-major, each entry in the inverse units of its two unknowns; default none. */
  readonly base?: Float64Array;
  /** Sum of the weights; default 1. */
  readonly total?: number;
}

/** Starting point and termination of the search for an optimal design. */
export interface DesignOptions {
  /** Weights to start from; default equal. */
  readonly start?: Float64Array;
  /** The search ends when the criterion is within this of its minimum, in the criterion's own unit; default 1e-6. */
  readonly tolerance?: number;
  /** Maximum number of rounds. */
  readonly mostRounds?: number;
}

/** The weights found, and a bound that shows how close to optimal they are. */
export interface Design {
  /** Weight of each candidate, ≥ 0; they add to the total. */
  readonly weights: Float64Array;
  /** Value of the criterion at these weights, in the criterion's unit: lower is better. */
  readonly value: number;
  /** Lower bound on the criterion over all weights: the value less (total·max(rate) − Σ weight·rate), by convexity (the equivalence theorem of J. Kiefer and J. Wolfowitz, 1960). */
  readonly bound: number;
  readonly converged: boolean;
  readonly rounds: number;
}

const TOLERANCE = 1e-6;
const MOST_ROUNDS = 400;
const BISECTIONS = 40;
/** Weights below this share of the total are treated as 0. */
const NEGLIGIBLE = 1e-12;
/** Number of candidates that enter in each round. */
const NEWCOMERS = 3;

/**
 * Weights that minimise the criterion, found by exchange: the best candidates enter, and weight is moved between pairs, each time to the optimum of the pair
 * (V. V. Fedorov, *Theory of Optimal Experiments*, 1972; H. P. Wynn, 1970).
 *
 * @throws RangeError when all candidates together do not determine the unknowns.
 */
export function optimalDesign(problem: DesignProblem, options: DesignOptions = {}): Design {
  const { candidates, total = 1, unknowns: p, criterion } = problem;
  const { tolerance = TOLERANCE, mostRounds = MOST_ROUNDS } = options;
  const weights =
    options.start?.slice() ?? new Float64Array(candidates.length).fill(total / candidates.length);
  const sums = informationOf(problem, weights);
  const slopesNow = (): Float64Array[] => {
    const slopes = criterionSlopes(sums, p, criterion);
    if (slopes !== null) return slopes;
    throw new RangeError(
      `The candidates must determine every unknown, alone or with what is known before; the ${candidates.length} candidates do not; in optimalDesign.`,
    );
  };
  let slopes = slopesNow();
  let gap = Number.POSITIVE_INFINITY;
  let round = 0;
  for (; round < mostRounds; round++) {
    const rates = Float64Array.from(candidates, (own) => rateOf(slopes, own));
    // Weight moves from the least useful candidates to the most useful ones.
    const byRate = (a: number, b: number): number => at(rates, a) - at(rates, b);
    const isHeld = (i: number): boolean => at(weights, i) > NEGLIGIBLE * total;
    const best = [...rates.keys()].sort((a, b) => byRate(b, a)).slice(0, NEWCOMERS);
    gap = total * at(rates, at(best, 0)) - innerProduct(weights, rates);
    if (gap <= tolerance) break;
    const held = [...weights.keys()].filter(isHeld).sort(byRate);
    for (const to of best) for (const from of held) exchange(problem, weights, sums, from, to);
    const active = [...new Set([...best, ...held])].filter(isHeld);
    if (active.length <= MOST_PAIRED)
      for (const to of active) for (const from of active) exchange(problem, weights, sums, from, to);
    slopes = slopesNow();
  }
  const value = criterionValue(sums, p, criterion);
  return { weights, value, bound: value - Math.max(0, gap), converged: gap <= tolerance, rounds: round };
}

/** If more candidates than this are active, exchanges between pairs of them are left to later rounds. */
const MOST_PAIRED = 24;

/** Sum of the base and the weighted candidates, one matrix for each scenario. */
function informationOf(
  { candidates, base, unknowns: p }: DesignProblem,
  weights: Float64Array,
): Float64Array[] {
  const scenarios = candidates[0]?.length ?? 1;
  return Array.from({ length: scenarios }, (_, s) => {
    const sum = base?.slice() ?? new Float64Array(p * p);
    for (const [i, own] of candidates.entries()) addScaled(sum, at(own, s), at(weights, i));
    return sum;
  });
}

/** Moves weight between two candidates to the minimum of the criterion along that line, by bisection of its monotone slope. */
function exchange(
  { candidates, criterion, unknowns: p }: DesignProblem,
  weights: Float64Array,
  sums: Float64Array[],
  from: number,
  to: number,
): void {
  const held = at(weights, from);
  if (from === to || held <= 0) return;
  const [gaining, losing] = [at(candidates, to), at(candidates, from)];
  const towards = gaining.map((matrix, s) => minus(matrix, at(losing, s)));
  const helps = (amount: number): boolean => {
    const moved = sums.map((sum, s) => {
      const out = sum.slice();
      addScaled(out, at(towards, s), amount);
      return out;
    });
    const slopes = criterionSlopes(moved, p, criterion);
    return slopes !== null && rateOf(slopes, towards) > 0;
  };
  if (!helps(0)) return;
  let [low, high] = [0, held];
  if (helps(high)) low = high;
  else {
    for (let step = 0; step < BISECTIONS && high - low > 1e-13 * high; step++) {
      const middle = (low + high) / 2;
      if (helps(middle)) low = middle;
      else high = middle;
    }
  }
  weights[to] = at(weights, to) + low;
  weights[from] = low === held ? 0 : held - low;
  for (const [s, sum] of sums.entries()) addScaled(sum, at(towards, s), low);
}
