import { describe, expect, it } from "vitest";
import { compareAnswers, numbersOf } from "./compare-answers.js";

const NOTHING = { renamed: [], added: [], leftOut: [] };
const before = numbersOf({
  a: { old: 1, list: [2, { x: -0 }] },
  older: 3,
  word: "four",
  deg: "−4.5 °",
  none: null,
  yes: true,
});

describe("the numbers of two answers", () => {
  it("are named by their paths; a word is none", () => {
    expect([...before]).toEqual([
      ["a.old", 1],
      ["a.list[0]", 2],
      ["a.list[1].x", -0],
      ["older", 3],
      ["deg", -4.5],
    ]);
  });

  it("are the same, and then nothing differs", () => {
    expect(compareAnswers(before, before, NOTHING, 0)).toEqual({
      before: 5,
      after: 5,
      renamed: 0,
      added: 0,
      leftOut: 0,
      largest: 0,
      different: [],
    });
  });

  it("differ by the last bit, by what is missing and by what is new", () => {
    const after = numbersOf({ a: { old: 1 + Number.EPSILON, list: [2] }, older: 3, deg: -4.5, more: 5 });
    expect(compareAnswers(before, after, NOTHING, 0).different).toEqual([
      "a.old: 1 → 1.0000000000000002",
      "a.list[1].x: 0 → nothing",
      "more: nothing → 5",
    ]);
  });

  it("may differ by less than a bound", () => {
    const near = numbersOf({ a: { old: 1 - 1e-10, list: [2, { x: 0 }] }, older: 3, deg: -4.5 });
    expect(compareAnswers(before, near, NOTHING, 1e-9)).toMatchObject({ largest: expect.closeTo(1e-10, 12) });
    expect(compareAnswers(before, near, NOTHING, 1e-9).different).toEqual([]);
    expect(compareAnswers(before, near, NOTHING, 1e-11).different).toHaveLength(1);
    const zero = numbersOf({ a: { old: 1, list: [2, { x: 1e-30 }] }, older: 3, deg: -4.5 });
    expect(compareAnswers(before, zero, NOTHING, 0.5).different).toHaveLength(1);
  });

  it("are found under a renamed key, whole keys alone", () => {
    const after = numbersOf({ a: { young: 1, list: [2, { x: -0 }] }, older: 3, deg: "-4.5" });
    const found = compareAnswers(before, after, { ...NOTHING, renamed: [["old", "young"]] }, 0);
    expect(found).toMatchObject({ renamed: 1, different: [] });
    const wrong = numbersOf({ a: { young: 9, list: [2, { x: -0 }] }, older: 3, deg: -4.5 });
    const differing = compareAnswers(before, wrong, { ...NOTHING, renamed: [["a.old", "a.young"]] }, 0);
    expect(differing.different).toEqual(["a.young: 1 → 9"]);
  });

  it("may be added and left out where that is said", () => {
    const after = numbersOf({ a: { old: 1, list: [2, { x: -0 }] }, deg: -4.5, more: { y: 3 } });
    const said = { renamed: [], added: [/^more\./], leftOut: [/^older$/] };
    expect(compareAnswers(before, after, said, 0)).toMatchObject({ added: 1, leftOut: 1, different: [] });
  });
});
