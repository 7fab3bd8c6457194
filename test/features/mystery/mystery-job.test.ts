import { describe, expect, it } from "vitest";
import { MYSTERY_LEVELS, mysteryCode, readMysteryCode } from "../../../src/features/mystery/mystery-job.js";

describe("a mystery's code", () => {
  it("is read back as its key, for seeds from 0 to the largest", () => {
    for (const seed of [0, 1, 7, 4096, 123_456_789, Number.MAX_SAFE_INTEGER]) {
      for (const faults of [1, 2, 3]) {
        expect(readMysteryCode(mysteryCode({ seed, faults }))).toEqual({ seed, faults });
      }
    }
  });

  it("holds the level and which draw of the faults it is", () => {
    for (const level of MYSTERY_LEVELS) {
      const key = { seed: Number.MAX_SAFE_INTEGER, faults: 3, level, draw: 9 };
      expect(readMysteryCode(mysteryCode(key))).toEqual(key);
      expect(mysteryCode(key).startsWith(`${level}-`)).toBe(true);
      // The level cannot be changed by hand: the check is of all of it.
      const other = level === "cell" ? "feeler" : "cell";
      expect(() => readMysteryCode(mysteryCode(key).replace(level, other))).toThrow(
        "is not a mystery's code",
      );
    }
  });

  it("shows neither seed nor number of faults, and is another for a neighbour", () => {
    const codes = Array.from({ length: 50 }, (_, seed) => mysteryCode({ seed: seed + 100, faults: 2 }));
    expect(new Set(codes.map((code) => code.slice(0, 4))).size).toBeGreaterThan(45);
    for (const [i, code] of codes.entries()) expect(code).not.toContain(String(i + 100));
  });

  it("is refused when a letter is wrong", () => {
    const code = mysteryCode({ seed: 7, faults: 2 });
    const wrong = (code.startsWith("1") ? "2" : "1") + code.slice(1);
    for (const typed of [wrong, code.slice(1), "", "7", `${code}0`]) {
      expect(() => readMysteryCode(typed)).toThrow("is not a mystery's code");
    }
  });
});
