import { describe, expect, it } from "vitest";
import { PRINTED_FAULTS } from "../../src/io/faults.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { MAX_ROWS } from "../../src/io/table.js";
import { loadTrials } from "../../src/io/trials/load-trials.js";
import { MAX_ALIASES, MAX_DEPTH, MAX_ENTRIES } from "../../src/io/yaml/read-yaml.js";
import { longIt } from "../tools/longer.js";
import { FULL, LEAST } from "./good-job.js";
import { HEADING, TRIALS } from "./good-trials.js";
import { faultsOf, inFolder } from "./in-folder.js";

const jobFaults = (text: string) => faultsOf(() => loadJob(inFolder({ "job.yaml": text })));
const trialFaults = (table: string) => {
  const folder = inFolder({ "job.yaml": FULL, "trials.csv": table });
  return faultsOf(() => loadTrials(folder, loadJob(folder)));
};
const sentences = (text: string): string[] => jobFaults(text).map(({ sentence }) => sentence);

describe("a job file beyond all measure is refused, and soon", () => {
  it.each<[string, string, RegExp]>([
    ["many open brackets", `title: ${"[".repeat(4_000_000)}`, /too long for a job/],
    ["many lists in lists", "- ".repeat(2_000_000), /too long for a job/],
    ["deep nesting", `title: ${"[".repeat(MAX_DEPTH + 1)}${"]".repeat(MAX_DEPTH + 1)}`, /nested too deeply/],
    ["many keys", Array.from({ length: MAX_ENTRIES + 1 }, (_, i) => `k${i}: 1`).join("\n"), /too many keys/],
    [
      "many entries",
      Array.from({ length: 30 }, (_, g) => `g${g}: [${"1,".repeat(MAX_ENTRIES / 25)}]`).join("\n"),
      /too long for a job/,
    ],
    ["many empty lines", "\n".repeat(4_000_000), /too long for a job/],
    ["many documents", "---\n".repeat(1_000_000), /too long for a job/],
    ["many aliases", `a: &a 1\nb: [${"*a,".repeat(MAX_ALIASES + 1)}]`, /repeats too much by aliases/],
    [
      "aliases that multiply",
      `a: &a [${"1,".repeat(9)}]\nb: &b [${"*a,".repeat(9)}]\nc: &c [${"*b,".repeat(9)}]\nd: [${"*c,".repeat(9)}]`,
      /repeats too much by aliases/,
    ],
  ])("%s", (_, text, says) => {
    expect(sentences(text)).toEqual([expect.stringMatching(says)]);
  });

  it("an alias of what holds it", () => {
    expect(sentences(`${LEAST}limits: &a { gap: *a }\n`)).toEqual([expect.stringMatching(/^Gap limit/)]);
  });

  it("more jigs than a shop", () => {
    const jigs = Array.from({ length: 501 }, (_, i) => `  j${i}: { ramp: 45, locked: true }\n`).join("");
    expect(sentences(`${LEAST}jigs:\n${jigs}`)).toEqual([expect.stringMatching(/there are too many/)]);
  });
});

describe("YAML that a job file cannot use", () => {
  it.each<[string, string, number, number, RegExp]>([
    ["a key twice", `${LEAST}strip: 4\n`, 4, 1, /appears twice/],
    ["a tag", LEAST.replace("60", "!!python/object:os.system 60"), 2, 10, /has a tag/],
    ["no space after a colon", "opening:60\nstrip: 3\n", 1, 1, /a colon and a space/],
    ["a second colon", "title: Alcove: new\n", 1, 8, /second colon/],
    ["a tab before a key", "jigs:\n\ta: 1\n", 2, 1, /indent with spaces/],
    ["a bracket left open", "a: [1, 2\nb: 3\n", 2, 1, /bracket before this is not closed/],
    ["a quotation mark left open", 'title: "Alcove\nstrip: 3\n', 3, 1, /quotation mark.*is missing/],
    ["an alias of nothing", `${LEAST}title: *alcove\n`, 4, 8, /\*alcove has no anchor/],
    ["a backslash in quotation marks", 'title: "C:\\jigs"\n', 1, 11, /backslash/],
    ["a sign with another meaning", "title: @home\n", 1, 8, /quotation marks/],
    ["a second document", `${LEAST}---\nstrip: 4\n`, 4, 1, /second document/],
    ["nothing", "", 1, 1, /Job file: it is not a group of keys/],
    ["a list", "- 60\n- 3\n", 1, 1, /Job file: it is not a group of keys/],
  ])("%s", (_, text, line, column, says) => {
    expect(jobFaults(text)).toMatchObject([{ line, column, sentence: expect.stringMatching(says) }]);
  });

  it("merges nothing: << is a key like another", () => {
    expect(sentences(`${LEAST}grid: { <<: { offset: 1 } }\n`)).toEqual([
      expect.stringMatching(/“<<” is not known/),
    ]);
  });

  it("has no way to a prototype", () => {
    expect(sentences(`${LEAST}__proto__: { units: in }\n`)).toEqual([
      expect.stringMatching(/“__proto__” is not known/),
    ]);
    expect(sentences(`${LEAST}as-cut: { pieces: { __proto__: {}, constructor: {} } }\n`)).toHaveLength(2);
  });
});

describe("a table beyond all measure", () => {
  longIt("has at most so many rows", () => {
    const table = `${HEADING}\n${"a\n".repeat(MAX_ROWS + 1)}`;
    expect(trialFaults(table)).toMatchObject([
      { line: MAX_ROWS + 2, sentence: expect.stringMatching(/too long/) },
    ]);
  });

  it("has headings in its first line", () => {
    expect(trialFaults("a,".repeat(200_000))[0]!.sentence).toMatch(/200000 entries; it has the headings/);
    expect(trialFaults(",".repeat(200_000))[0]!.sentence).toMatch(/table is empty/);
  });

  it("with a fault in every row tells them all, and prints the first", () => {
    const rows = Array.from({ length: 3000 }, (_, i) =>
      TRIALS.split("\n")[1]!.replace("r1", `r${i}`).replace("start-left", "lft"),
    );
    const table = [HEADING, ...rows].join("\n");
    expect(trialFaults(table)).toHaveLength(3000);
    const folder = inFolder({ "job.yaml": FULL, "trials.csv": table });
    const job = loadJob(folder);
    expect(() => loadTrials(folder, job)).toThrow(`… and ${3000 - PRINTED_FAULTS} more.`);
  });
});

describe("a message", () => {
  it("spells out the signs that would drive a terminal", () => {
    const folder = inFolder({ "job.yaml": `${LEAST}"\\e[2Jx": 1\n` });
    const message = (() => {
      try {
        return String(loadJob(folder));
      } catch (error) {
        return (error as Error).message;
      }
    })();
    expect(message).not.toContain("\u001B");
    expect(message).toContain("\\u{1B}[2Jx");
  });
});
