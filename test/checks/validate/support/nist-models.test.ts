import { describe, expect, it } from "vitest";
import { residualDifferences } from "../../../../src/core/numeric/least-squares.js";
import { published } from "../check.js";
import { NIST_MODELS } from "../nist-models.js";
import { fitSet } from "../nist-nonlinear.js";

interface File {
  starts: number[][];
  certified: { b: number[]; residualSumOfSquares: number };
  data: [y: number, x: number, x2?: number][];
}

describe.each(Object.keys(NIST_MODELS))("the model %s", (name) => {
  const model = NIST_MODELS[name]!;
  const { certified, data, starts } = published<File>(`nist-${name}`);

  it("has the certified sum of squares at the certified parameters", () => {
    // Of two predictors the response is a logarithm.
    const seen = data.map(([y, , x2]) => (x2 === undefined ? y : Math.log(y)));
    const sum = data.reduce(
      (total, [, x, x2], i) => total + (model(certified.b, x, x2)[0]! - seen[i]!) ** 2,
      0,
    );
    // The parameters are certified to 11 digits; what that leaves matters where the fit is as close as Lanczos's.
    const rounding = data.length * (1e-10 * Math.max(...seen.map(Math.abs))) ** 2;
    expect(Math.abs(sum - certified.residualSumOfSquares)).toBeLessThan(
      1e-9 * certified.residualSumOfSquares + rounding,
    );
  });

  it("has the slopes that differences give", () => {
    for (const b of [certified.b, starts[1]!]) {
      const value = (at: ArrayLike<number>) => data.map(([, x, x2]) => model(at, x, x2)[0]!);
      const slopes = data.map(([, x, x2]) => model(b, x, x2).slice(1));
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
    const wrong = data.map(([y, ...x]) => [y === highest ? 1.01 * y : y, ...x] as const);
    const { x } = fitSet(model, wrong, starts[1]!, true);
    const off = certified.b.map((b, j) => Math.abs(x[j]! / b - 1));
    expect(Math.max(...off)).toBeGreaterThan(1e-6);
  });
});
