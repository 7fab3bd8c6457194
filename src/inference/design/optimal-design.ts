import { addScaled, at, innerProduct, minus } from "../../core/numeric/dense.js";
import { type Criterion, criterionSlopes, criterionValue, rateOf } from "./criterion.js";

/** A design of weights over candidates: how a total is best shared out. */
export interface DesignProblem {
  /** Number of unknowns. */
  readonly unknowns: number;
  /** Information of each candidate at weight 1, one matrix (row-major) a scenario. */
  readonly candidates: readonly (readonly Float64Array[])[];
  readonly criterion: Criterion;
  /** Information there is already (a prior, earlier readings), row-major, each entry by the units of its two unknowns; default none. */
  readonly base?: Float64Array;
  /** Sum of the weights; default 1. */
  readonly total?: number;
}

/** Where an optimal design starts and when it ends. */
export interface DesignOptions {
  /** Weights to start from; default equal. */
  readonly start?: Float64Array;
  /** Ends when the criterion is within this, in its own unit, of the least there is; default 1e-6. */
  readonly tolerance?: number;
  /** Most number of rounds. */
  readonly mostRounds?: number;
}

/** The weights found, and the proof of how good they are. */
export interface Design {
  /** Weight of each candidate, ≥ 0; they add to the total. */
  readonly weights: Float64Array;
  /** Value of the criterion at these weights, in the criterion's unit: less is better. */
  readonly value: number;
  /** The least value of any weights is no lower than this: total·max(rate) − Σ weight·rate below the value, by convexity (the equivalence theorem of J. Kiefer and J. Wolfowitz, 1960). */
  readonly bound: number;
  readonly converged: boolean;
  readonly rounds: number;
}

const TOLERANCE = 1e-6;
const MOST_ROUNDS = 400;
const BISECTIONS = 40;
/** Weights below this share of the total are none. */
const NEGLIGIBLE = 1e-12;
/** Candidates that enter in a round. */
const NEWCOMERS = 3;

/**
 * Weights that minimise the criterion, by exchange: the best candidates enter, and weight is moved between pairs, each time to the optimum of the pair
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
    // From the least useful first, to the most useful.
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

/** With more active candidates than this, pairs among them are left to later rounds. */
const MOST_PAIRED = 24;

/** Base and weighted candidates, one matrix a scenario. */
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

/** Moves weight between two candidates to where the criterion is least along the line: its slope there, falling steadily, is bisected. */
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
