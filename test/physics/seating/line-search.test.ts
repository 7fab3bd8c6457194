import { describe, expect, it } from "vitest";
import { type AlongStep, downhillShare, stepShare } from "../../../src/physics/seating/rest-exact.js";

/** An energy of one share as a search sees it, with the share last asked for. */
function watched(energy: (x: number) => number, slope: (x: number) => number) {
  const state = { share: Number.NaN, asked: 0 };
  const at: AlongStep = (share) => {
    state.share = share;
    state.asked++;
    return { share, energy: energy(share), slope: slope(share) };
  };
  return { at, state };
}

const quadratic = (bottom: number) =>
  watched(
    (x) => (x - bottom) ** 2 / 2,
    (x) => x - bottom,
  );

describe("the share of a step", () => {
  it("is all of it when the bottom lies near its end", () => {
    for (const bottom of [0.6, 1, 1.4, 30]) {
      const { at, state } = quadratic(bottom);
      stepShare(at);
      expect(state.share).toBe(1);
    }
  });

  it("is that of the bottom when the full step overshoots it", () => {
    for (const bottom of [0.4, 0.1, 1e-3, 1e-6]) {
      const { at, state } = quadratic(bottom);
      stepShare(at);
      expect(Math.abs(state.share - bottom)).toBeLessThanOrEqual(0.1 * bottom);
    }
  });

  it("stays on this side of a barrier although the slope falls behind it", () => {
    // Falls to a bottom at 0.25, climbs a hill at 0.7 and falls again behind it, without ever coming as low.
    const energy = (x: number) => Math.cos(2 * Math.PI * (x - 0.25) * 1.1 + Math.PI) + 1.5 * x;
    const slope = (x: number) => (energy(x + 1e-6) - energy(x - 1e-6)) / 2e-6;
    expect(slope(0)).toBeLessThan(0);
    expect(slope(1)).toBeLessThan(0);
    expect(energy(1)).toBeGreaterThan(energy(0));
    const { at, state } = watched(energy, slope);
    stepShare(at);
    expect(energy(state.share)).toBeLessThan(energy(0));
    expect(Math.abs(slope(state.share))).toBeLessThanOrEqual(0.1 * Math.abs(slope(0)));
    expect(state.share).toBeLessThan(0.5);
  });

  it("never ends higher than it began, even along a step that climbs", () => {
    const { at, state } = watched(
      (x) => 1 + x,
      () => 1,
    );
    stepShare(at);
    expect(state.share).toBeLessThan(1e-9);
  });
});

/** A double well −x²/2 + x⁴/(4·b²) with bottoms at ±b and its saddle at 0, tilted by `tilt`·x. */
const wells = (b: number, tilt = 0) =>
  watched(
    (x) => 1 - x ** 2 / 2 + x ** 4 / (4 * b ** 2) + tilt * x,
    (x) => -x + x ** 3 / b ** 2 + tilt,
  );

describe("the way off a saddle", () => {
  it("leads to the positive side when both are alike, near the bottom of the well", () => {
    for (const b of [0.3, 0.02, 1e-3, 1e-4]) {
      const { at, state } = wells(b);
      downhillShare(at);
      expect(state.share).toBeGreaterThan(0.8 * b);
      expect(state.share).toBeLessThan(1.2 * b);
      expect(state.asked).toBeLessThan(60);
    }
  });

  it("leads to the lower side", () => {
    // Tilted steeply, and so little that the first try to the higher side falls as well.
    for (const tilt of [1e-3, 4e-4]) {
      const { at, state } = wells(0.1, tilt);
      downhillShare(at);
      expect(state.share).toBeLessThan(-0.05);
    }
  });

  it("is not taken where there is none", () => {
    const { at, state } = watched(
      (x) => 1 + x ** 2,
      (x) => 2 * x,
    );
    downhillShare(at);
    expect(state.share).toBe(0);
  });

  it("is not followed without end", () => {
    const { at, state } = watched(
      (x) => -Math.abs(x),
      (x) => -Math.sign(x),
    );
    downhillShare(at);
    expect(state.share).toBeGreaterThanOrEqual(1);
    expect(state.share).toBeLessThan(2.1);
  });
});
