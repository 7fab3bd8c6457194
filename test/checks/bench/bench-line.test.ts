import { describe, expect, it } from "vitest";
import { lineOf, lineText, median, skippedLine } from "./bench-line.js";

describe("a line of the bench", () => {
  it("misses a target only by more than the repeats scatter: when the quartile towards it misses too", () => {
    expect(lineOf("a", [9, 1, 2, 3, 4], 2, "at most", null).met).toBe(true);
    expect(lineOf("a", [9, 1, 2.1, 3, 4], 2, "at most", null).met).toBe(false);
    expect(lineOf("a", [9, 1, 2, 3, 4], 4, "at least", null).met).toBe(true);
    expect(lineOf("a", [9, 1, 2, 3, 3.9], 4, "at least", null).met).toBe(false);
    expect(lineOf("a", [9, 1, 2], null, "at most", null).met).toBeNull();
    expect(lineOf("a", [9, 1, 2], 2, "at most", null)).toMatchObject({ ratio: 2, spread: [1, 9] });
  });

  it("says in words what was met, and what was not judged", () => {
    const line = lineOf("a", [3], 2, "at most", 1500, "two cores");
    expect(lineText(line)).toMatch(/^a +3\.00 .*at most 2\.00: NOT MET +1500 ns a trial +two cores$/);
    expect(lineText({ ...line, met: null })).toContain("not judged");
    expect(lineText(skippedLine("b", "no NumPy"))).toMatch(/^b +skipped: no NumPy$/);
  });
});

it("the median of an even number of values lies between the middle two", () => {
  expect(median([4, 1, 3, 100])).toBe(3.5);
});
