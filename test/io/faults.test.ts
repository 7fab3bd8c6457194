import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { listed } from "../../src/core/text.js";
import { nearest, wordIn } from "../../src/io/faults.js";

describe("the nearest known word", () => {
  const known = ["trusted-to", "ramp", "fence", "shims", "locked"];

  it.each([
    ["rmap", "ramp"],
    ["Trusted_To", "trusted-to"],
    ["trusted", "trusted-to"],
    ["lock", "locked"],
    ["fences", "fence"],
    ["lokced", "locked"],
    ["shim", "shims"],
  ])("to %s is %s", (typed, meant) => expect(nearest(typed, known)).toBe(meant));

  it.each(["", "x", "angle", "r", "a".repeat(5000)])("to %s is none", (typed) =>
    expect(nearest(typed, known)).toBeUndefined(),
  );

  it("is the word itself when it is known", () => {
    for (const word of known) expect(nearest(word, known)).toBe(word);
  });

  it("is found after any one slip in a word of four letters or more", () => {
    const word = fc.constantFrom(...known);
    fc.assert(
      fc.property(word, fc.nat(), fc.constantFrom("drop", "double", "swap", "change"), (meant, at, slip) => {
        const i = at % (meant.length - 1);
        const [before, a, b, after] = [meant.slice(0, i), meant[i]!, meant[i + 1]!, meant.slice(i + 2)];
        const typed = { drop: b, double: a + a + b, swap: b + a, change: `#${b}` }[slip];
        expect(nearest(before + typed + after, known)).toBe(meant);
      }),
      { seed: 45, numRuns: 300 },
    );
  });
});

describe("a word in capitals", () => {
  it("is the known one, unless two differ by nothing else", () => {
    expect(wordIn(["gap", "angle"], "GAP")).toBe("gap");
    expect(wordIn(["Feeler", "feeler"], "feeler")).toBe("feeler");
    expect(wordIn(["Feeler", "feeler"], "FEELER")).toBeUndefined();
  });
});

describe("a list of words", () => {
  it("reads as a sentence has it", () => {
    expect(listed([])).toBe("none");
    expect(listed(["a"])).toBe("a");
    expect(listed(["a", "b"], "or")).toBe("a or b");
    expect(listed(["a", "b", "c"])).toBe("a, b and c");
    expect(listed(Array.from({ length: 30 }, (_, i) => `${i}`))).toMatch(/, 23 and 6 more$/);
  });
});
