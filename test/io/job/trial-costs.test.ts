import { describe, expect, it } from "vitest";
import { loadJob } from "../../../src/io/job/load-job.js";
import { benchCost, TRIAL_COSTS } from "../../../src/model/job/job.js";
import { mendedJob } from "../../checks/fuzz/mended.js";
import { FULL } from "../good-job.js";
import { faultsOf, inFolder } from "../in-folder.js";

const load = (extra: string) => loadJob(inFolder({ "job.yaml": `${FULL}${extra}` }));

describe("what trial cuts cost", () => {
  it("is the usual where the job is silent", () => {
    expect(load("").trialCosts).toEqual(TRIAL_COSTS);
  });

  it("is changed bench by bench and instrument by instrument", () => {
    const { trialCosts } = load(
      "trial-costs: { piece: 7, benches: { corner-90: { minutes: 3 }, cell: { pieces: 4 } }, instruments: { feeler: 0.25 } }\n",
    );
    expect(trialCosts.piece).toBe(7);
    expect(trialCosts.benches["corner-90"]).toEqual({ minutes: 3, pieces: null });
    expect(benchCost(trialCosts, "corner-45")).toEqual(benchCost(TRIAL_COSTS, "corner-45"));
    expect(trialCosts.benches.cell).toEqual({ ...TRIAL_COSTS.benches.cell, pieces: 4 });
    expect(trialCosts.benches.ring).toEqual(TRIAL_COSTS.benches.ring);
    expect(trialCosts.instruments).toEqual({ feeler: 0.25 });
  });

  it.each<[string, string, RegExp]>([
    [
      "a bench that is none",
      "{ benches: { corner-9: { minutes: 2 } } }",
      /no such bench; did you mean corner-90\?/,
    ],
    [
      "an instrument that is none",
      "{ instruments: { feeller: 1 } }",
      /no such instrument in this job; did you mean feeler\?/,
    ],
    ["time that runs backwards", "{ piece: -1 }", /^Piece: it is out of reach; it is counted in minutes/],
    ["half a piece", "{ benches: { cell: { pieces: 1.5 } } }", /whole number of pieces/],
    ["a key that is none", "{ peice: 4 }", /“peice” is not known here. Did you mean piece\?/],
  ])("refuses %s, and the example mends it", (_, group, says) => {
    const text = `${FULL}trial-costs: ${group}\n`;
    const faults = faultsOf(() => loadJob(inFolder({ "job.yaml": text })));
    expect(faults).toMatchObject([{ line: FULL.split("\n").length, sentence: expect.stringMatching(says) }]);
    const mended = mendedJob(text, faults[0]!);
    expect(faultsOf(() => loadJob(inFolder({ "job.yaml": mended })))).toEqual([]);
  });
});
