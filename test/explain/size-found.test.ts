import { describe, expect, it } from "vitest";
import { sizeFound } from "../../src/explain/size-found.js";

const draw = (size: number, weight: number) => ({
  sizes: Float64Array.of(size),
  logWeight: Math.log(weight),
  gaps: new Float64Array(),
});

describe("the size of a cause", () => {
  it("is the median of the likelier side, with its share", () => {
    const draws = [draw(-0.2, 1), draw(0.1, 1), draw(0.2, 2), draw(0.3, 1)];
    expect(sizeFound(draws, 0)).toEqual({ size: 0.2, interval: [-0.2, 0.3], thatSide: 0.8 });
  });

  it("does not depend on the order of the draws or the scale of their weights", () => {
    const draws = [draw(0.3, 3e-200), draw(-0.1, 1e-200), draw(0.1, 2e-200)];
    const again = [...draws].reverse().map((d) => ({ ...d, logWeight: d.logWeight + 300 }));
    expect(sizeFound(again, 0)).toEqual(sizeFound(draws, 0));
  });
});
