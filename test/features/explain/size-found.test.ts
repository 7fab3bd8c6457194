import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { sizeFound } from "../../../src/features/explain/weigh-hypothesis.js";

const draw = (size: number, weight: number) => ({
  sizes: Float64Array.of(size),
  logWeight: Math.log(weight),
  gaps: new Float64Array(),
});

describe("the size of a cause", () => {
  it("is the median of the likelier side, with its share", () => {
    const draws = [draw(-0.2, 1), draw(0.1, 1), draw(0.2, 2), draw(0.3, 1)];
    expect(sizeFound(draws, 0)).toEqual({ size: 0.2, interval: [-0.2, 0.3], thatSide: 0.8, other: null });
  });

  it("has another of the other sign where both are places of their own, and only there", () => {
    const normals = createStream(8).fill(new Float64Array(400));
    const from = (size: (z: number, d: number) => number) =>
      sizeFound(
        [...normals].map((z, d) => draw(size(z, d), 1)),
        0,
      );
    const both = from((z, d) => (d % 3 === 0 ? -1 : 1) * (0.5 + 0.05 * z));
    expect(Math.abs(both.size - 0.5)).toBeLessThan(0.02);
    expect(Math.abs(both.other! + 0.5)).toBeLessThan(0.02);
    expect(both.thatSide).toBeCloseTo(2 / 3, 2);
    expect(from((z) => z).other).toBeNull();
    expect(from((z) => 1.7 + z).other).toBeNull();
    // Ten draws that count say nothing of signs.
    const few = [...normals].map((z, d) =>
      draw((d % 2 === 0 ? -1 : 1) * (0.5 + 0.05 * z), d < 10 ? 1 : 1e-9),
    );
    expect(sizeFound(few, 0).other).toBeNull();
  });

  it("does not depend on the order of the draws or the scale of their weights", () => {
    const draws = [draw(0.3, 3e-200), draw(-0.1, 1e-200), draw(0.1, 2e-200)];
    const again = [...draws].reverse().map((d) => ({ ...d, logWeight: d.logWeight + 300 }));
    expect(sizeFound(again, 0)).toEqual(sizeFound(draws, 0));
  });
});
