import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { chanceEnough, type Needed, sparesFor } from "../../../src/features/cutlist/spares.js";
import { userError } from "../../user-error.js";

const binomial = (n: number, k: number): number => {
  let product = 1;
  for (let i = 0; i < k; i++) product = (product * (n - i)) / (i + 1);
  return product;
};

describe("the chance that the pieces suffice", () => {
  it("is the binomial tail, summed", () => {
    for (const [count, scrap, spares] of [
      [1, 0.3, 0],
      [7, 0.1, 2],
      [96, 0.05, 9],
    ] as const) {
      const n = count + spares;
      let sum = 0;
      for (let k = count; k <= n; k++) sum += binomial(n, k) * (1 - scrap) ** k * scrap ** (n - k);
      expect(chanceEnough({ count, scrap }, spares)).toBeCloseTo(sum, 12);
    }
    expect(chanceEnough({ count: 5, scrap: 0 }, 0)).toBe(1);
  });

  it("is how often a shop that cuts until it has enough needs no more spares", () => {
    const stream = createStream(4);
    const [count, scrap, spares, shops] = [20, 0.08, 3, 20_000];
    let enough = 0;
    for (let shop = 0; shop < shops; shop++) {
      let [good, bad] = [0, 0];
      while (good < count) stream.uniform() < scrap ? bad++ : good++;
      if (bad <= spares) enough++;
    }
    const expected = chanceEnough({ count, scrap }, spares);
    // Four standard errors.
    const width = 4 * Math.sqrt((expected * (1 - expected)) / shops);
    expect(Math.abs(enough / shops - expected)).toBeLessThan(width);
    expect(Math.abs(enough / shops - chanceEnough({ count, scrap }, spares + 1))).toBeGreaterThan(width);
  });
});

describe("how many spares", () => {
  const needed: Needed[] = [
    { count: 12, scrap: 0.05, length: 90 },
    { count: 48, scrap: 0.04, length: 49 },
    { count: 24, scrap: 0.02, length: 30 },
  ];
  const wood = (spares: readonly number[]): number =>
    spares.reduce((sum, s, i) => sum + s * needed[i]!.length, 0);

  it("reach the chance wanted, and one fewer of any kind would not", () => {
    const { spares, chance } = sparesFor(needed, 0.95);
    expect(chance).toBeGreaterThanOrEqual(0.95);
    for (const i of needed.keys()) {
      if (spares[i] === 0) continue;
      const fewer = needed.reduce(
        (product, kind, k) => product * chanceEnough(kind, spares[k]! - (k === i ? 1 : 0)),
        1,
      );
      expect(fewer).toBeLessThan(0.95);
    }
  });

  it("take little more wood than the best of all combinations", () => {
    for (const sure of [0.8, 0.95, 0.99]) {
      let best = Number.POSITIVE_INFINITY;
      for (let a = 0; a < 9; a++)
        for (let b = 0; b < 14; b++)
          for (let c = 0; c < 9; c++) {
            const all = [a, b, c].reduce((product, s, i) => product * chanceEnough(needed[i]!, s), 1);
            if (all >= sure) best = Math.min(best, wood([a, b, c]));
          }
      const own = wood(sparesFor(needed, sure).spares);
      expect(own).toBeGreaterThanOrEqual(best);
      expect(own).toBeLessThanOrEqual(best + 90);
    }
  });

  it("are refused where nearly all are lost, with the piece named", () => {
    const hopeless = [{ name: "key", count: 4, scrap: 0.97, length: 30 }];
    expect(() => sparesFor(hopeless, 0.9)).toThrow(userError("cut-list"));
    expect(() => sparesFor(hopeless, 0.9)).toThrow(/of the key are scrap .* here it is 0\.97/);
  });

  it("are none where nothing is lost", () => {
    expect(sparesFor([{ count: 9, scrap: 0, length: 10 }], 0.99)).toEqual({ spares: [0], chance: 1 });
  });
});
