import { describe, expect, it } from "vitest";
import { residualDifferences } from "../../../../src/core/numeric/least-squares.js";
import { published } from "../check.js";
import { fitSet, NIST_MODELS } from "../nist-nonlinear.js";

interface File {
  starts: number[][];
  certified: { b: number[]; residualSumOfSquares: number };
  data: [y: number, x: number][];
}

describe.each(Object.keys(NIST_MODELS))("the model %s", (name) => {
  const model = NIST_MODELS[name]!;
  const { certified, data, starts } = published<File>(`nist-${name}`);

  it("has the certified sum of squares at the certified parameters", () => {
    const sum = data.reduce((total, [y, x]) => total + (model(certified.b, x)[0]! - y) ** 2, 0);
    expect(Math.abs(sum / certified.residualSumOfSquares - 1)).toBeLessThan(1e-9);
  });

  it("has the slopes that differences give", () => {
    for (const b of [certified.b, starts[1]!]) {
      const value = (at: ArrayLike<number>) => data.map(([, x]) => model(at, x)[0]!);
      const slopes = data.map(([, x]) => model(b, x).slice(1));
      const known = residualDifferences(value)(Float64Array.from(b), value(b));
      for (let j = 0; j < b.length; j++) {
        const size = Math.max(...slopes.map((row) => Math.abs(row[j]!)));
        for (const [i, row] of slopes.entries())
          expect(Math.abs(row[j]! - known[i * b.length + j]!) / size).toBeLessThan(1e-7);
      }
    }
  });

  it("misses by far with one observation changed by 1 %: a negative control", () => {
    const highest = Math.max(...data.map(([y]) => y));
    const wrong = data.map(([y, x]) => [y === highest ? 1.01 * y : y, x] as const);
    const { x } = fitSet(model, wrong, starts[1]!, true);
    const off = certified.b.map((b, j) => Math.abs(x[j]! / b - 1));
    expect(Math.max(...off)).toBeGreaterThan(1e-6);
  });
});
