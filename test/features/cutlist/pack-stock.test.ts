import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { type Demand, packStock, type StockOptions } from "../../../src/features/cutlist/pack-stock.js";
import { userError } from "../../user-error.js";

const plain: StockOptions = { lengths: [100], kerf: 0, ends: 0 };
const demand = (length: number, count: number): Demand => ({ name: `p${length}`, length, count });

/** Fewest sticks of one length, by trying everything. */
function fewest(pieces: readonly number[], room: number, kerf: number): number {
  let best = pieces.length;
  const left: number[] = [];
  const place = (i: number): void => {
    if (left.length >= best) return;
    if (i === pieces.length) {
      best = left.length;
      return;
    }
    for (let s = 0; s < left.length; s++) {
      const taken = pieces[i]! + kerf;
      if (left[s]! < taken - 1e-9) continue;
      left[s] = left[s]! - taken;
      place(i + 1);
      left[s] = left[s]! + taken;
    }
    left.push(room + kerf - pieces[i]! - kerf);
    place(i + 1);
    left.pop();
  };
  place(0);
  return best;
}

describe("packing pieces into sticks", () => {
  it("takes no kerf behind the last piece", () => {
    // 3 · 30 + 2 · 5 = 100: just fits; with a kerf more for the last it would not.
    expect(packStock([demand(30, 3)], { ...plain, kerf: 5 }).buy).toEqual([{ stock: 100, sticks: 1 }]);
    expect(packStock([demand(30, 3)], { ...plain, kerf: 5.1 }).buy[0]!.sticks).toBe(2);
    expect(packStock([demand(30, 3)], { ...plain, kerf: 5, ends: 1 }).buy[0]!.sticks).toBe(2);
  });

  it("cuts every piece once, and no stick is filled beyond its length", () => {
    const stream = createStream(3);
    for (let round = 0; round < 40; round++) {
      const demands = Array.from({ length: 4 }, (_, i) => ({
        name: `p${i}`,
        length: 5 + 90 * stream.uniform(),
        count: stream.integer(6),
      }));
      const options = { lengths: [100, 150], kerf: 1.5, ends: 4 };
      const { plans, buy, bought, used, least } = packStock(demands, options);
      for (const { name, count } of demands) {
        const cut = plans.flatMap((plan) =>
          plan.pieces.filter((piece) => piece.name === name).map((piece) => piece.count * plan.sticks),
        );
        expect(cut.reduce((a, b) => a + b, 0)).toBe(count);
      }
      for (const { stock, pieces, left } of plans) {
        const n = pieces.reduce((sum, { count }) => sum + count, 0);
        const wood = pieces.reduce((sum, { length, count }) => sum + length * count, 0) + 1.5 * (n - 1);
        expect(wood).toBeLessThan(stock - 4 + 1e-5);
        expect(left).toBeCloseTo(Math.max(0, stock - 4 - wood), 9);
      }
      expect(buy.reduce((sum, { stock, sticks }) => sum + stock * sticks, 0)).toBe(bought);
      expect(used).toBeLessThanOrEqual(bought);
      expect(least).toBeLessThanOrEqual(bought + 1e-9);
    }
  });

  it("needs no fewer than the fewest, no more than first fit decreasing may, and never less than its bound", () => {
    const stream = createStream(11);
    let atBest = 0;
    for (let round = 0; round < 60; round++) {
      const lengths = Array.from({ length: 8 }, () => 12 + 60 * stream.uniform());
      const { bought, least } = packStock(
        lengths.map((length) => demand(length, 1)),
        { ...plain, kerf: 2 },
      );
      const best = fewest(lengths, 100, 2);
      expect(bought / 100).toBeGreaterThanOrEqual(best);
      expect(bought / 100).toBeLessThanOrEqual((11 / 9) * best + 6 / 9);
      expect(least / 100).toBeLessThanOrEqual(best);
      if (bought / 100 === best) atBest++;
    }
    expect(atBest).toBeGreaterThan(45);
  });

  it("takes shorter sticks where they do, and one length alone where that is less", () => {
    const two = packStock([demand(95, 1), demand(40, 1)], { lengths: [50, 100], kerf: 1, ends: 2 });
    expect(two.buy).toEqual([
      { stock: 50, sticks: 1 },
      { stock: 100, sticks: 1 },
    ]);
    // Two of 45 in 100 or one each in 50: the same wood; three of 30 in 100 lose more than in 95.
    expect(packStock([demand(30, 3)], { lengths: [95, 100], kerf: 1, ends: 0 }).bought).toBe(95);
  });

  it("refuses what no stick holds, and has nothing to do with nothing", () => {
    expect(() => packStock([demand(99, 1)], { ...plain, ends: 2 })).toThrow(userError("cut-list"));
    expect(() => packStock([demand(99, 1)], { ...plain, ends: 2 })).toThrow(
      /takes 99.0 mm, and the longest stick leaves 98.0 mm/,
    );
    expect(packStock([demand(50, 0)], plain).plans).toEqual([]);
  });
});
