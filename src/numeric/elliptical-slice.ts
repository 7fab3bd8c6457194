import type { RandomStream } from "./random-stream.js";

/** A law whose density is a normal law's times a weight. */
export interface WeightedNormal {
  /** Length of a point. */
  readonly length: number;
  /** Fills `point` with a draw of the normal law; its mean is zero, its covariance may be singular. */
  draw(point: Float64Array, stream: RandomStream): void;
  /** Writes the log weights of the first `count` points (row-major) to `out`; −∞ where the law has no density. */
  logWeights(points: Float64Array, count: number, out: Float64Array): void;
}

export interface WalkOptions {
  /** Walkers that go side by side, ≥ 1. */
  readonly walkers: number;
  readonly rounds: number;
  readonly stream: RandomStream;
  /** Where the walkers stand, row-major; they go on from here, and stand here again afterwards where the walk ended. */
  readonly points: Float64Array;
  /** Called after each round. */
  readonly onRound?: (round: number) => void;
}

/** A bracket this narrow, rad, has closed on the point it started from. */
const CLOSED = 1e-9;
const TURN = 2 * Math.PI;

/**
 * Elliptical slice sampling (I. Murray, R. P. Adams and D. J. C. MacKay, Elliptical slice sampling, AISTATS 2010): a walk whose points are, in the long run,
 * draws of the law. Each round a walker draws a height under its weight and an ellipse through its point and a fresh draw of the normal law; it goes to the
 * first angle tried whose weight is above the height, and the bracket of angles shrinks towards where it stood. There is nothing to tune.
 * All walkers' weights are asked for together.
 *
 * @returns how many weights were worked out for each step of a walker, ≥ 1.
 */
export function walkEllipses(law: WeightedNormal, options: WalkOptions): number {
  const { walkers, rounds, stream, points, onRound = () => {} } = options;
  const { length } = law;
  const [others, tried] = [new Float64Array(points.length), new Float64Array(points.length)];
  const [weight, triedWeight] = [new Float64Array(walkers), new Float64Array(walkers)];
  const steps = Array.from({ length: walkers }, (): Step => ({ height: 0, angle: 0, low: 0, high: 0 }));
  let looks = 0;
  law.logWeights(points, walkers, weight);
  for (let round = 0; round < rounds; round++) {
    for (let k = 0; k < walkers; k++) {
      law.draw(others.subarray(k * length, (k + 1) * length), stream);
      begin(steps[k]!, weight[k]!, stream);
    }
    let moving = steps.map((_, k) => k);
    while (moving.length > 0) {
      for (const [a, k] of moving.entries())
        onEllipse(points, others, k * length, steps[k]!.angle, tried, a * length, length);
      law.logWeights(tried, moving.length, triedWeight);
      looks += moving.length;
      moving = moving.filter((k, a) => {
        const step = steps[k]!;
        if (triedWeight[a]! < step.height) return narrowed(step, stream);
        points.set(tried.subarray(a * length, (a + 1) * length), k * length);
        weight[k] = triedWeight[a]!;
        return false;
      });
    }
    onRound(round);
  }
  return looks / (walkers * rounds);
}

/** A walker's step under way. */
interface Step {
  height: number;
  angle: number;
  low: number;
  high: number;
}

function begin(step: Step, weight: number, stream: RandomStream): void {
  step.height = weight + Math.log(1 - stream.uniform());
  step.angle = TURN * stream.uniform();
  step.low = step.angle - TURN;
  step.high = step.angle;
}

/** Shrinks the bracket to the angle that failed and draws another; false when it has closed and the walker stays. */
function narrowed(step: Step, stream: RandomStream): boolean {
  if (step.angle < 0) step.low = step.angle;
  else step.high = step.angle;
  step.angle = step.low + (step.high - step.low) * stream.uniform();
  return step.high - step.low > CLOSED;
}

function onEllipse(
  points: Float64Array,
  others: Float64Array,
  from: number,
  angle: number,
  tried: Float64Array,
  to: number,
  length: number,
): void {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  for (let i = 0; i < length; i++) tried[to + i] = c * points[from + i]! + s * others[from + i]!;
}
