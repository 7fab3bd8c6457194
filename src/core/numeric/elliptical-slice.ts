import type { RandomStream } from "./random-stream.js";

/** A distribution whose density is a normal density times a weight: squares, known analytically along an ellipse, and factors that have to be evaluated. */
export interface WeightedNormal {
  /** Number of coordinates of a point. */
  readonly length: number;
  /** Fills `point` with a draw of the normal distribution; its mean is zero, its covariance may be singular. */
  draw(point: Float64Array, stream: RandomStream): void;
  readonly squares: Squares;
  /** Evaluated in this order; cheap ones first. */
  readonly factors: readonly WeightFactor[];
}

/** A log weight of −½ Σ gain·(centre + x)², where x are the coordinates at the given indices of a point. */
export interface Squares {
  readonly place: Int32Array;
  /** May be negative: a negative gain divides out part of the normal density. */
  readonly gain: Float64Array;
  readonly centre: Float64Array;
}

/** A factor of the weight. */
export interface WeightFactor {
  /** Upper bound of its log. */
  readonly logBound: number;
  /** Adds the log of the factor at each proposal to `out`; −∞ where the density is zero. */
  add(proposals: Proposals, out: Float64Array): void;
}

/** Proposals on walkers' ellipses: number t is cos·point + sin·other of its walker. */
export interface Proposals {
  count: number;
  /** Index at which the walker's point begins in `points`, and its ellipse's other point in `others`. */
  readonly at: Int32Array;
  readonly cos: Float64Array;
  readonly sin: Float64Array;
  readonly points: Float64Array;
  readonly others: Float64Array;
}

export interface WalkOptions {
  /** Number of independent walkers, ≥ 1. */
  readonly walkers: number;
  readonly rounds: number;
  readonly stream: RandomStream;
  /** In: the walkers' starting points, row-major. Out: their end points. */
  readonly points: Float64Array;
  /** Called after each round. */
  readonly onRound?: (round: number) => void;
}

/** A bracket narrower than this, rad, counts as shrunk to its starting point. */
const CLOSED = 1e-9;
const TURN = 2 * Math.PI;

/**
 * Elliptical slice sampling (I. Murray, R. P. Adams and D. J. C. MacKay, Elliptical slice sampling, AISTATS 2010): a Markov chain with the target as its stationary
 * distribution and nothing to tune. In each round a walker draws a height under its weight and an ellipse through its point and a fresh draw of the normal distribution;
 * it accepts the first proposed angle whose weight exceeds the height, and the bracket of angles shrinks towards its point after each rejection.
 *
 * Squares are known along a whole ellipse from five sums. Factors are evaluated one after the other, for all walkers together; a proposal is rejected as soon as the
 * upper bounds of the remaining factors cannot lift it above the height.
 *
 * @returns number of proposals for each step of a walker, ≥ 1.
 */
export function walkEllipses(target: WeightedNormal, options: WalkOptions): number {
  const { walkers, rounds, onRound = () => {} } = options;
  const walk = new EllipseWalk(target, options);
  for (let round = 0; round < rounds; round++) {
    walk.round();
    onRound(round);
  }
  return walk.tries / (walkers * rounds);
}

/** The points themselves as proposals, row-major. */
export const proposalsAt = (points: Float64Array, count: number, length: number): Proposals => ({
  ...{ count, points, others: new Float64Array(points.length) },
  at: Int32Array.from({ length: count }, (_, k) => k * length),
  ...{ cos: new Float64Array(count).fill(1), sin: new Float64Array(count) },
});

/** A walker's unfinished step. */
interface Step {
  height: number;
  angle: number;
  low: number;
  high: number;
  /** Log weight of the factors at the walker's point. */
  factors: number;
  /** The squares along the ellipse: of cos², cos·sin, sin², cos and sin. */
  readonly form: Float64Array;
}

/** Walkers on their ellipses, with the weight raised to a power. */
export class EllipseWalk {
  tries = 0;
  /** Power of the weight, > 0: 1 for the target itself, less for a distribution nearer the normal one. */
  power = 1;
  readonly #target: WeightedNormal;
  readonly #stream: RandomStream;
  readonly #steps: Step[];
  readonly #proposals: Proposals;
  /** Walker and log weight so far of each proposal. */
  readonly #walker: Int32Array;
  readonly #weight: Float64Array;
  readonly #logBound: number;
  #tried: number[];

  /** `points` always holds the walkers' current points. */
  constructor(target: WeightedNormal, { walkers, stream, points }: Omit<WalkOptions, "rounds" | "onRound">) {
    this.#target = target;
    this.#stream = stream;
    this.#logBound = target.factors.reduce((sum, { logBound }) => sum + logBound, 0);
    this.#proposals = proposalsAt(points, walkers, target.length);
    this.#walker = new Int32Array(walkers);
    this.#weight = new Float64Array(walkers);
    this.#tried = Array.from({ length: walkers }, (_, k) => k);
    for (const part of target.factors) part.add(this.#proposals, this.#weight);
    const blank = { height: 0, angle: 0, low: 0, high: 0 };
    this.#steps = Array.from(this.#weight, (factors) => ({ ...blank, factors, form: new Float64Array(5) }));
  }

  /** Log weight at a walker's point, up to a constant; to the power 1. */
  weightOf(walker: number): number {
    const { form, factors } = this.#steps[walker]!;
    this.#squares(walker * this.#target.length, form);
    return form[0]! + form[3]! + factors;
  }

  /** Resampling: moves walker k to the point of walker `from[k]`. */
  gather(from: ArrayLike<number>): void {
    const { length } = this.#target;
    const { points } = this.#proposals;
    const before = points.slice();
    const factors = this.#steps.map((step) => step.factors);
    for (const [k, step] of this.#steps.entries()) {
      points.set(before.subarray(from[k]! * length, (from[k]! + 1) * length), k * length);
      step.factors = factors[from[k]!]!;
    }
  }

  /** One step of every walker. */
  round(): void {
    const { length } = this.#target;
    for (const [k, step] of this.#steps.entries()) {
      this.#target.draw(this.#proposals.others.subarray(k * length, (k + 1) * length), this.#stream);
      this.#squares(k * length, step.form);
      begin(step, this.power, this.#stream);
    }
    this.#tried = this.#steps.map((_, k) => k);
    while (this.#tried.length > 0) this.#proposeAll();
  }

  /** One proposal for each unfinished walker. */
  #proposeAll(): void {
    const proposals = this.#proposals;
    const again: number[] = [];
    proposals.count = 0;
    for (const k of this.#tried) if (!this.#propose(k)) again.push(k);
    let left = this.#logBound;
    for (const part of this.#target.factors) {
      if (proposals.count === 0) break;
      part.add(proposals, this.#weight);
      left -= part.logBound;
      this.#sift(left, again);
    }
    for (let t = 0; t < proposals.count; t++) this.#accept(t);
    // This runs in the walkers' order, so that the random numbers do not depend on which factor rejected a proposal.
    this.#tried = again.sort((a, b) => a - b).filter((k) => narrowed(this.#steps[k]!, this.#stream));
  }

  /** Adds a walker's proposal; false where its squares alone already reject it. */
  #propose(k: number): boolean {
    this.tries++;
    const { height, angle, form } = this.#steps[k]!;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    const squares = form[0]! * c * c + form[1]! * c * s + form[2]! * s * s + form[3]! * c + form[4]! * s;
    if (!(squares + this.#logBound >= height)) return false;
    const t = this.#proposals.count++;
    this.#walker[t] = k;
    this.#weight[t] = squares;
    this.#proposals.at[t] = k * this.#target.length;
    this.#proposals.cos[t] = c;
    this.#proposals.sin[t] = s;
    return true;
  }

  /** Keeps the proposals that the remaining factors, at most `left`, can still lift to their height. */
  #sift(left: number, again: number[]): void {
    const { at, cos, sin, count } = this.#proposals;
    let kept = 0;
    for (let t = 0; t < count; t++) {
      const k = this.#walker[t]!;
      if (!(this.#weight[t]! + left >= this.#steps[k]!.height)) {
        again.push(k);
        continue;
      }
      this.#walker[kept] = k;
      this.#weight[kept] = this.#weight[t]!;
      at[kept] = at[t]!;
      cos[kept] = cos[t]!;
      sin[kept] = sin[t]!;
      kept++;
    }
    this.#proposals.count = kept;
  }

  /** Accepts a proposal. */
  #accept(t: number): void {
    const { points, others, at, cos, sin } = this.#proposals;
    const [from, c, s] = [at[t]!, cos[t]!, sin[t]!];
    const step = this.#steps[this.#walker[t]!]!;
    const { form } = step;
    step.factors =
      this.#weight[t]! -
      (form[0]! * c * c + form[1]! * c * s + form[2]! * s * s + form[3]! * c + form[4]! * s);
    for (let i = from; i < from + this.#target.length; i++) points[i] = c * points[i]! + s * others[i]!;
  }

  /** Coefficients of the log of the squares along an ellipse, up to a constant. */
  #squares(from: number, form: Float64Array): void {
    const { place, gain, centre } = this.#target.squares;
    const { points, others } = this.#proposals;
    let [aa, ab, bb, a, b] = [0, 0, 0, 0, 0];
    for (let i = 0; i < gain.length; i++) {
      const at = from + place[i]!;
      const [x, y, g] = [points[at]!, others[at]!, gain[i]!];
      aa += g * x * x;
      ab += g * x * y;
      bb += g * y * y;
      a += g * centre[i]! * x;
      b += g * centre[i]! * y;
    }
    form[0] = -aa / 2;
    form[1] = -ab;
    form[2] = -bb / 2;
    form[3] = -a;
    form[4] = -b;
  }
}

function begin(step: Step, power: number, stream: RandomStream): void {
  // At angle 0 the form is that of the point itself.
  step.height = step.form[0]! + step.form[3]! + step.factors + Math.log(1 - stream.uniform()) / power;
  step.angle = TURN * stream.uniform();
  step.low = step.angle - TURN;
  step.high = step.angle;
}

/** Shrinks the bracket to the rejected angle and draws another; false when it has closed and the walker stays. */
function narrowed(step: Step, stream: RandomStream): boolean {
  if (step.angle < 0) step.low = step.angle;
  else step.high = step.angle;
  step.angle = step.low + (step.high - step.low) * stream.uniform();
  return step.high - step.low > CLOSED;
}
