import { InvalidArgumentError } from "commander";
import { describe, expect, it } from "vitest";
import * as cli from "../../src/cli/arguments.js";

const { given, repeated, ...options } = cli;

/** What each option makes of these texts: the number, or what it says instead. */
const TEXTS = ["0", "-1", "1e9", "1.5", "NaN", "", " ", "abc", "Infinity", "0x10", "7 mm", "1e400"];

const read = (option: (text: string) => number, text: string): number | string => {
  try {
    return option(text);
  } catch (error) {
    if (error instanceof InvalidArgumentError) return error.message;
    throw error;
  }
};

const TAKEN: Readonly<Record<keyof typeof options, readonly string[]>> = {
  seed: ["0", "1e9"],
  cells: ["1e9"],
  seasonCells: [],
  panels: [],
  threads: [],
  trials: [],
  faults: [],
  ofClass: [],
  pictureWidth: [],
  seconds: ["1.5"],
  minutes: ["1.5"],
  chance: [],
};

describe.each(Object.entries(options))("the option value %s", (name, option) => {
  it("takes what is within its range, and no text that is no number", () => {
    const taken = TEXTS.filter((text) => typeof read(option, text) === "number");
    expect(taken).toEqual(TAKEN[name as keyof typeof options]);
    for (const text of taken) expect(read(option, text)).toBe(Number(text));
  });

  it("says the range it wants, with an example that it takes itself", () => {
    const says = TEXTS.map((text) => read(option, text)).filter((answer) => typeof answer === "string");
    expect(new Set(says).size).toBe(1);
    const [sentence] = says as [string];
    expect(sentence).toMatch(
      /^Write a .*(from \d+ to \d+|\d or more|between 0 and 1|greater than zero).*, for example /,
    );
    const examples = sentence.split("for example ")[1]!.replace(/\.$/, "").split(" or ");
    for (const example of examples) expect(read(option, example)).toBe(Number(example));
  });
});

it.each([
  ["threads", "1024"],
  ["pictureWidth", "20000"],
  ["seed", "9007199254740991"],
] as const)("%s %s, which filled the memory or ended as a fault, is refused", (name, text) => {
  expect(read(options[name], text)).toMatch(/^Write a whole number, from \d+ to \d+, for example/);
});

describe("other arguments", () => {
  it("keep what was given and leave out the rest", () => {
    expect(given({ seed: 0, out: undefined, json: false })).toEqual({ seed: 0, json: false });
    expect(Object.keys(given({ out: undefined }))).toEqual([]);
  });

  it("gather in their order", () => expect(repeated("b", repeated("a"))).toEqual(["a", "b"]));
});
