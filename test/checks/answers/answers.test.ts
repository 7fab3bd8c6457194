import { describe, expect, it } from "vitest";
import { compareAnswers, numbersOf } from "./compare-answers.js";

const NOTHING = { renamed: [], added: [], leftOut: [] };
const before = numbersOf({ a: { old: 1, list: [2, { x: -0 }] }, older: 3, word: "4", none: null, yes: true });

describe("the numbers of two answers", () => {
  it("are named by their paths; words are none", () => {
    expect([...before]).toEqual([
      ["a.old", 1],
      ["a.list[0]", 2],
      ["a.list[1].x", -0],
      ["older", 3],
    ]);
  });

  it("are the same, and then nothing differs", () => {
    expect(compareAnswers(before, before, NOTHING)).toEqual({
      ...{ before: 4, after: 4, renamed: 0, added: 0, leftOut: 0, different: [] },
    });
  });

  it("differ by the last bit, by what is missing and by what is new", () => {
    const after = numbersOf({ a: { old: 1 + Number.EPSILON, list: [2] }, older: 3, more: 5 });
    expect(compareAnswers(before, after, NOTHING).different).toEqual([
      "a.old: 1 → 1.0000000000000002",
      "a.list[1].x: 0 → nothing",
      "more: nothing → 5",
    ]);
  });

  it("are found under a renamed key, whole keys alone", () => {
    const after = numbersOf({ a: { young: 1, list: [2, { x: -0 }] }, older: 3 });
    const found = compareAnswers(before, after, { ...NOTHING, renamed: [["old", "young"]] });
    expect(found).toMatchObject({ renamed: 1, different: [] });
    const wrong = numbersOf({ a: { young: 9, list: [2, { x: -0 }] }, older: 3 });
    const differing = compareAnswers(before, wrong, { ...NOTHING, renamed: [["a.old", "a.young"]] });
    expect(differing.different).toEqual(["a.young: 1 → 9"]);
  });

  it("may be added and left out where that is said", () => {
    const after = numbersOf({ a: { old: 1, list: [2, { x: -0 }] }, more: { y: 3 } });
    const said = { renamed: [], added: [/^more\./], leftOut: [/^older$/] };
    expect(compareAnswers(before, after, said)).toMatchObject({ added: 1, leftOut: 1, different: [] });
  });
});
