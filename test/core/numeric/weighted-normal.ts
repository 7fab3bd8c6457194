import { nextPower, sharesOf, systematicPicks } from "../../../src/core/numeric/anneal.js";
import { stepOnEllipses } from "../../../src/core/numeric/elliptical-slice.js";
import { createStream, type RandomStream } from "../../../src/core/numeric/random-stream.js";

/** Walkers under a standard normal density times a weight. */
export class WeightedNormalWalk {
  power = 1;
  tries = 0;
  readonly points: Float64Array[];

  constructor(
    readonly logWeight: (point: Float64Array) => number,
    readonly stream: RandomStream,
    { walkers, length }: { readonly walkers: number; readonly length: number },
  ) {
    this.points = Array.from({ length: walkers }, () => stream.fill(new Float64Array(length)));
  }

  round(): void {
    const others = this.points.map((point) => this.stream.fill(new Float64Array(point.length)));
    const proposed: Float64Array[] = [];
    this.tries += stepOnEllipses({
      walkers: this.points.length,
      stream: this.stream,
      power: this.power,
      current: Float64Array.from(this.points, this.logWeight),
      weigh: ({ count, walker, cos, sin }, out) => {
        for (let t = 0; t < count; t++) {
          const [point, other] = [this.points[walker[t]!]!, others[walker[t]!]!];
          proposed[t] = point.map((x, i) => cos[t]! * x + sin[t]! * other[i]!);
          out[t] = this.logWeight(proposed[t]!);
        }
      },
      accept: (t, k) => {
        this.points[k] = proposed[t]!;
      },
    });
  }

  /** Brings the walkers from the normal density to the weighted one; returns the number of stages. */
  anneal(rounds: number): number {
    for (let stage = 1, power = 0; ; stage++) {
      const logs = Float64Array.from(this.points, this.logWeight);
      const more = nextPower(logs, 1 - power, this.points.length / 2);
      const picks = systematicPicks(sharesOf(logs, more), this.stream.uniform());
      const before = [...this.points];
      for (const [k, pick] of picks.entries()) this.points[k] = before[pick]!;
      power = more === 1 - power ? 1 : power + more;
      this.power = power;
      for (let k = 0; k < rounds; k++) this.round();
      if (power === 1) return stage;
    }
  }
}

export const walkOf = (
  logWeight: (point: Float64Array) => number,
  seed: number,
  size: { readonly walkers: number; readonly length: number },
): WeightedNormalWalk => new WeightedNormalWalk(logWeight, createStream(seed), size);
