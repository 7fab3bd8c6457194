import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { chanceRightMean, signReadings } from "../../../src/inference/design/informative-readings.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { longIt } from "../../tools/longer.js";
import { leanColumn, leaningJob, leaningReadings, takenInTruth } from "../leaning-demo.js";

const DRAWS = 40_000;
const LEAVES = [0.05, 0.1, 0.15, 0.2];

/** Guesses by what was seen most often under each mean: no formula of ours. */
function guessedRight(a: number, b: number, sigma: number): number {
  const stream = createStream(6);
  const seen = [a, b].map((mean) => {
    const counts = LEAVES.map(() => 0).concat(0);
    for (let d = 0; d < DRAWS; d++) {
      const x = mean + sigma * stream.normal();
      counts[LEAVES.filter((leaf) => leaf < x).length]!++;
    }
    return counts;
  });
  return seen[0]!.reduce((sum, n, k) => sum + Math.max(n, seen[1]![k]!), 0) / (2 * DRAWS);
}

describe("the chance that a reading tells a sign", () => {
  it.each([
    [-0.02, 0.12, 0.02],
    [-0.02, 0.06, 0.03],
    [0.07, 0.08, 0.01],
    [0.3, 0.32, 0.01],
  ])("between leaves is what guessing by counts gives: %f or %f, σ = %f", (a, b, sigma) => {
    const ours = chanceRightMean(a, b, sigma, LEAVES);
    expect(Math.abs(ours - guessedRight(a, b, sigma))).toBeLessThan(0.008);
  });

  it("of a value is Φ(d/2σ), the textbook's, and a half where both would show the same", () => {
    // Φ(1) = 0.841345 of any table.
    expect(chanceRightMean(0, 2, 1, null)).toBeCloseTo(0.841345, 6);
    expect(chanceRightMean(1, 1, 0, null)).toBe(0.5);
    expect(chanceRightMean(-3, -5, 0.5, LEAVES)).toBeCloseTo(0.5, 9);
  });
});

describe("the reading that resolves a lean's sign", () => {
  longIt("names its side, and the fit that has it knows the sign", () => {
    const readings = leaningReadings(false);
    const [found, ...others] = signReadings(leaningJob, fitSources(leaningJob, readings));
    expect(others).toEqual([]);
    expect(found!.source).toEqual({ kind: "lean", of: "bevel-22" });
    expect(["front", "back"]).toContain(found!.reading.side);
    expect(found!.right).toBeGreaterThan(0.95);
    const taken = takenInTruth(found!.reading);
    const { sides, estimate } = fitSources(leaningJob, [...readings, taken]).sources[leanColumn]!;
    expect(sides).toBeNull();
    // In truth it is outward at the front.
    expect(estimate).toBeGreaterThan(0);
  });

  it("is not asked for where the sign is told", () => {
    expect(signReadings(leaningJob, fitSources(leaningJob, leaningReadings(true)))).toEqual([]);
  });
});
