import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { nearestDouble, radiansOf, rational } from "./rational.js";

describe("the fractions the tests compare with", () => {
  it("divide integers below 2^53 as the processor does, whose division is correctly rounded (IEEE 754)", () => {
    const whole = fc.integer({ min: -(2 ** 52), max: 2 ** 52 });
    fc.assert(
      fc.property(whole, fc.integer({ min: 1, max: 2 ** 52 }), (n, d) => {
        expect(nearestDouble({ n: BigInt(n), d: BigInt(d) })).toBe(n === 0 ? 0 : n / d);
      }),
      { seed: 11, numRuns: 2000 },
    );
  });

  it("know half a turn", () => {
    expect(radiansOf(rational("180"))).toBe(Math.PI);
    expect(radiansOf(rational("-45/2"))).toBe(-Math.PI / 8);
  });
});
