import { describe, expect, it } from "vitest";
import { evidenceText } from "../../src/render/evidence-text.js";

const posterior = { basis: { readings: 22, pieces: 1, records: [] }, state: "as they stand" } as const;

describe("what an answer is based on", () => {
  it("is said in one sentence", () => {
    expect(evidenceText({ ...posterior, effectiveSampleSize: 500 })).toBe(
      "Based on 22 readings of 1 trial piece; jigs and stops as they stand.",
    );
  });

  it("says how rough the figures are where few draws are independent", () => {
    expect(evidenceText({ ...posterior, effectiveSampleSize: 25 })).toMatch(
      /stand\. The figures are rough: .* moves by about 0\.2 of its standard uncertainty\./,
    );
    expect(evidenceText({ ...posterior, effectiveSampleSize: 99 })).toContain("about 0.1 of");
  });
});
