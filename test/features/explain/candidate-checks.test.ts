import { describe, expect, it } from "vitest";
import { informationBetween } from "../../../src/features/explain/candidate-checks.js";

const leaf = { leaves: [0.05], resolution: null, repeatability: 0 };

describe("expected information between two hypotheses", () => {
  it("is 1 bit when the outcomes never agree, and 0 when they always do", () => {
    const closed = Float64Array.of(0, 0.01);
    expect(informationBetween(leaf, closed, Float64Array.of(0.1, 0.2))).toBeCloseTo(1, 12);
    expect(informationBetween(leaf, closed, Float64Array.of(0.02, 0.03))).toBe(0);
  });

  // A leaf that goes in with probability p under one and q under the other: H((p+q)/2) − (H(p) + H(q))/2.
  it("is that of a yes or no", () => {
    const entropy = (p: number): number => -p * Math.log2(p) - (1 - p) * Math.log2(1 - p);
    const first = Float64Array.of(0.1, 0.1, 0.1, 0);
    const second = Float64Array.of(0.1, 0, 0, 0);
    const expected = entropy(0.5) - (entropy(0.75) + entropy(0.25)) / 2;
    expect(informationBetween(leaf, first, second)).toBeCloseTo(expected, 12);
  });

  it("falls as the instrument gets coarser, and cannot exceed what there is to learn", () => {
    const first = Float64Array.from({ length: 50 }, (_, i) => 44 + 0.001 * i);
    const second = first.map((value) => value + 0.05);
    const bits = [0.005, 0.02, 0.1].map((repeatability) =>
      informationBetween({ leaves: [], resolution: 0.01, repeatability }, first, second),
    );
    expect(bits[0]).toBeGreaterThan(bits[1]!);
    expect(bits[1]).toBeGreaterThan(bits[2]!);
    expect(informationBetween(leaf, Float64Array.of(0), Float64Array.of(1), 0.9)).toBeCloseTo(
      -0.9 * Math.log2(0.9) - 0.1 * Math.log2(0.1),
      12,
    );
  });
});
