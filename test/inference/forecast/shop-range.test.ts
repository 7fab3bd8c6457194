import { describe, expect, it } from "vitest";
import { normalCdf, normalQuantile } from "../../../src/core/numeric/normal.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { effectiveCells, shopRange } from "../../../src/inference/forecast/shop-range.js";

const CELLS = 64;

/** Counts of closed cells in shops whose chance to close is drawn by `chance`. */
function counted(shops: number, seed: number, chance: (uniform: number) => number): Uint32Array {
  const stream = createStream(seed);
  return Uint32Array.from({ length: shops }, () => {
    const own = chance(stream.uniform());
    let closed = 0;
    for (let k = 0; k < CELLS; k++) if (stream.uniform() < own) closed++;
    return closed;
  });
}

describe("the range over shops", () => {
  it("is that of the shops, without what the number of cells adds", () => {
    // Chances from 0.2 to 0.8, all alike: the variance is 0.6²/12, the binomial one of 64 cells adds 0.0034 to it.
    const { closes, variance } = shopRange(
      counted(4000, 3, (u) => 0.2 + 0.6 * u),
      CELLS,
    );
    expect(variance).toBeGreaterThan(0.95 * 0.03);
    expect(variance).toBeLessThan(1.05 * 0.03);
    const [, tenth, half, ninetieth] = closes.map(({ value }) => value);
    expect(tenth).toBeCloseTo(0.26, 1.5);
    expect(half).toBeCloseTo(0.5, 1.5);
    expect(ninetieth).toBeCloseTo(0.74, 1.5);
  });

  it("of shops that are all alike is one figure", () => {
    const { closes, variance } = shopRange(
      counted(256, 5, () => 0.5),
      CELLS,
    );
    expect(Math.sqrt(variance)).toBeLessThan(0.03);
    expect(closes.at(-1)!.value - closes[0]!.value).toBeLessThan(0.12);
    // Uncorrected, 95 % of these shares would span 0.25.
    expect(2 * 1.96 * Math.sqrt(0.25 / CELLS)).toBeGreaterThan(0.24);
  });

  it("keeps two kinds of shops apart, and counts both", () => {
    const { hardlyAny, nearlyAll, closes } = shopRange(
      counted(1000, 7, (u) => (u < 0.7 ? 0 : 1)),
      CELLS,
    );
    expect(hardlyAny).toBeCloseTo(0.7, 1);
    expect(nearlyAll).toBeCloseTo(0.3, 1);
    expect(closes.map(({ value }) => Math.round(value))).toEqual([0, 0, 0, 1, 1]);
  });
});

describe("the number of cells that simulated cells are worth", () => {
  const shops = { count: 1000, effectiveSize: 100, draws: new Float64Array(0), factors: new Float64Array(0) };
  const draws = { shared: 0, shops, scatterOf: new Int8Array(0), correlation: null };

  it("is their own where each has a shop of its own", () => {
    expect(effectiveCells(5000, { draws: { ...draws, shops: null } }, null, 0.3)).toBe(5000);
  });

  it("is that of the shops where cells of one shop are all alike, and of the cells where shops are", () => {
    const range = shopRange(
      Uint32Array.from({ length: 100 }, (_, k) => (k < 30 ? CELLS : 0)),
      CELLS,
    );
    expect(effectiveCells(1e6, { draws }, range, 0.3)).toBeCloseTo(100, -1);
    expect(effectiveCells(1e6, { draws }, { ...range, variance: 0 }, 0.3)).toBeCloseTo(1e6, 3);
  });

  it("gives bounds that hold the truth as often as they say, where 100 shops are all there are", () => {
    // Shops close all their cells or none with chance 0.3: the mean of 100 of them has the standard error √(0.21/100).
    const truth = 0.3;
    let held = 0;
    const z = normalQuantile(0.975);
    for (let seed = 0; seed < 300; seed++) {
      const closed = counted(100, seed, (u) => (u < truth ? 1 : 0));
      const value = closed.reduce((sum, count) => sum + count, 0) / (100 * CELLS);
      const worth = effectiveCells(100 * CELLS, { draws }, shopRange(closed, CELLS), value);
      if (Math.abs(value - truth) <= z * Math.sqrt((value * (1 - value)) / worth)) held++;
    }
    // 285 of 300 should; fewer than 270 has a chance below 1 in 1000.
    expect(held).toBeGreaterThan(269);
    expect(normalCdf((269.5 - 285) / Math.sqrt(300 * 0.95 * 0.05))).toBeLessThan(1e-3);
  });
});
