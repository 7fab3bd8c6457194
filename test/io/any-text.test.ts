import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { JobFault } from "../../src/io/faults.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { loadTrials } from "../../src/io/trials/load-trials.js";
import { longIt } from "../tools/longer.js";
import { FULL } from "./good-job.js";
import { TRIALS } from "./good-trials.js";
import { faultsOf, inFolder } from "./in-folder.js";

const RUNS = { seed: 20, numRuns: 150 };

/** A text with one stretch of it replaced: by nothing, by another stretch of its own, or by signs that mean something. */
const spoilt = (text: string): fc.Arbitrary<string> =>
  fc
    .tuple(
      fc.nat(text.length),
      fc.nat(12),
      fc.oneof(
        fc.constant(""),
        fc.tuple(fc.nat(text.length), fc.nat(40)).map(([from, length]) => text.slice(from, from + length)),
        fc.constantFrom(
          ..."{}[],:;#&*!|>'\"%@`-?\t\n\r°−½\u0000\u001B\uFEFF",
          "\n- ",
          ": ",
          " #",
          "-1",
          "1e99",
          "null",
          "~",
          ".nan",
        ),
        fc.string({ unit: "binary", maxLength: 5 }),
      ),
    )
    .map(([at, length, put]) => text.slice(0, at) + put + text.slice(at + length));

/** Every fault says where and what, within the text. */
function expectSound(faults: readonly JobFault[], text: string): void {
  for (const { line, column, sentence } of faults) {
    expect(line).toBeLessThanOrEqual(text.split(/\r\n?|\n/).length);
    expect(line).toBeGreaterThanOrEqual(0);
    expect(column).toBeGreaterThanOrEqual(0);
    expect(sentence).toMatch(/^[A-Z“].*\.$/s);
  }
}

describe("a good text with something spoilt in it", () => {
  longIt("is a job, or is refused with faults that say where", () => {
    const outcomes = { loaded: 0, refused: 0 };
    fc.assert(
      fc.property(spoilt(FULL), (text) => {
        const faults = faultsOf(() => loadJob(inFolder({ "job.yaml": text })));
        outcomes[faults.length === 0 ? "loaded" : "refused"]++;
        expectSound(faults, text);
      }),
      RUNS,
    );
    // Some slips fall into a title or a number and are none.
    expect(outcomes.loaded).toBeGreaterThan(10);
    expect(outcomes.refused).toBeGreaterThan(50);
  });

  it("is a table of trials, or is refused with faults that say where", () => {
    const job = loadJob(inFolder({ "job.yaml": FULL }));
    const outcomes = { loaded: 0, refused: 0 };
    fc.assert(
      fc.property(spoilt(TRIALS), (text) => {
        const faults = faultsOf(() => loadTrials(inFolder({ "trials.csv": text }), job));
        outcomes[faults.length === 0 ? "loaded" : "refused"]++;
        expectSound(faults, text);
      }),
      RUNS,
    );
    expect(outcomes.loaded).toBeGreaterThan(10);
    expect(outcomes.refused).toBeGreaterThan(50);
  });
});
