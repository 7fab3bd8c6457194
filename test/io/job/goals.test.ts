import { describe, expect, it } from "vitest";
import { loadJob } from "../../../src/io/job/load-job.js";
import { STOCK_DEFAULTS, TOLERANCE_GOAL } from "../../../src/model/job/job.js";
import { LEAST } from "../good-job.js";
import { faultsOf, inFolder } from "../in-folder.js";

const load = (text: string) => loadJob(inFolder({ "job.yaml": LEAST + text }));
const sentences = (text: string): string =>
  faultsOf(() => load(text))
    .map(({ field, sentence }) => `${field}: ${sentence}`)
    .join("\n");

describe("stock and tolerances of a job", () => {
  it("are absent, default, or as written", () => {
    expect(load("").stock).toBeUndefined();
    expect(load("").toleranceGoal).toBeUndefined();
    expect(load("stock: {}\n").stock).toEqual(STOCK_DEFAULTS);
    expect(load("tolerances: {}\n").toleranceGoal).toEqual(TOLERANCE_GOAL);
    const { stock } = load("stock: { lengths: [24 in, 36 in], kerf: 3/64 in }\n");
    expect(stock!.kerf).toBeCloseTo((25.4 * 3) / 64, 12);
    expect(stock!.lengths).toEqual([609.6, 914.4]);
    expect(load("tolerances: { costs: { ramps: 3, cuts: 0.5 } }\n").toleranceGoal!.costs).toEqual({
      ...TOLERANCE_GOAL.costs,
      ramps: 3,
      cuts: 0.5,
    });
  });

  it("say what to mend", () => {
    expect(sentences("stock: { sure: 1 }\n")).toMatch(/stock\.sure: .*above 0 and below 1/);
    expect(sentences("stock: { lengths: [900, 900] }\n")).toMatch(/stock\.lengths/);
    expect(sentences("stock: { kerf: -1 }\n")).toMatch(/stock\.kerf: /);
    expect(sentences("tolerances: { chance: 90 }\n")).toMatch(
      /tolerances\.chance: .*0\.95 for 19 times in 20/,
    );
    expect(sentences("tolerances: { costs: { ramp: 2 } }\n")).toMatch(/Did you mean ramps\?/);
    expect(sentences("tolerances: { finest: 2 }\n")).toMatch(/share of today's tolerance/);
  });
});
