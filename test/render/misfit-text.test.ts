import { describe, expect, it } from "vitest";
import type { MisfitReason } from "../../src/inference/misfit/departure.js";
import type { LikelyReason, Misfit } from "../../src/inference/misfit/judge-readings.js";
import type { Instrument } from "../../src/model/readings.js";
import { misfitJson, misfitTexts } from "../../src/render/misfit-text.js";

const instrument = (name: string, reads: Instrument["reads"]): Instrument => ({
  name,
  reads,
  reach: [],
  resolution: 0.01,
  repeatability: 0.01,
  bias: 0,
  biasPriorSd: 0,
  leaves: [],
});
const instruments = [
  instrument("feeler", ["gap"]),
  instrument("bevel box", ["angle"]),
  instrument("caliper", ["length"]),
];
const mm = { units: "mm" as const, instruments };
const inch = { units: "in" as const, instruments };
const likely = (reason: MisfitReason, size: number | null, chance = 0.97): LikelyReason => ({
  reason,
  size,
  chance,
  logEvidence: 9,
});
const misfit = (named: LikelyReason | null, more: Partial<Misfit> = {}): Misfit => ({
  reasons: named ? [named] : [],
  named,
  runnerUp: null,
  explained: named !== null,
  widening: 1,
  ...more,
});
const bias = (name: string, angular = false): MisfitReason => ({
  kind: "gauge bias",
  instrument: name,
  angular,
});
const DEGREE = Math.PI / 180;

describe("the reason of a misfit, in words", () => {
  it("says what a gauge reads wrong and what to read with it, in mm and in thou", () => {
    expect(misfitTexts(misfit(likely(bias("feeler"), 0.03)), mm).join(" ")).toBe(
      "They look as if the feeler reads 0.030 mm too much (chance 97 %). Read a known gap with it, for example two squared blocks with a leaf between them.",
    );
    expect(misfitTexts(misfit(likely(bias("feeler"), -0.0254)), inch)[0]).toBe(
      "They look as if the feeler reads 1.0 thou too little (chance 97 %).",
    );
    const angle = misfitTexts(misfit(likely(bias("bevel box", true), 0.3 * DEGREE)), mm);
    expect(angle[0]).toContain("the bevel box reads 0.30° too much");
    expect(angle[1]).toContain("try square");
    expect(misfitTexts(misfit(likely(bias("caliper"), 0.05)), mm)[1]).toContain("gauge block");
  });

  it("names the pieces, the way of a drift, the readings, the trial and the scatter", () => {
    const clause = (reason: MisfitReason, size: number | null = null): string =>
      misfitTexts(misfit(likely(reason, size)), mm)[0]!;
    expect(clause({ kind: "mixed stock", trials: ["d1", "h2", "s1"] }, -0.15)).toBe(
      "They look as if two batches of stock were mixed: d1, h2 and s1 are thinner than the rest, by 0.150 mm (chance 97 %).",
    );
    expect(clause({ kind: "drift", sources: [{ kind: "ramp", of: "point-45" }] }, -0.3 * DEGREE)).toBe(
      "They look as if the ramp of point-45 drifts from the first piece to the last, 0.30° towards a blunter point (chance 97 %).",
    );
    expect(clause({ kind: "drift", sources: [{ kind: "stop", of: "key-end" }] }, 0.1)).toContain(
      "the stop of key-end drifts from the first piece to the last, 0.100 mm longer",
    );
    expect(clause({ kind: "swapped joint", pairs: [["r3", "r7"]] })).toContain(
      "readings were exchanged: r3 with r7",
    );
    expect(clause({ kind: "odd trial", trial: "d4" })).toContain("trial d4 is unlike the others");
    expect(clause({ kind: "larger scatter", of: "all", factor: 2 })).toContain(
      "the cuts scatter about twice as much",
    );
    expect(clause({ kind: "larger scatter", of: { instrument: "feeler" }, factor: 4 })).toContain(
      "the readings of the feeler scatter some 4 times as much",
    );
  });

  it("tells the second one, and what is not explained", () => {
    const two = misfit(likely(bias("feeler"), 0.03, 0.7), {
      runnerUp: likely({ kind: "odd trial", trial: "c1" }, null, 0.2),
      explained: false,
      widening: 2.04,
    });
    const text = misfitTexts(two, mm).join(" ");
    expect(text).toContain("It may also be that trial c1 is unlike the others (20 %).");
    expect(text).toContain("That does not explain all of it.");
    expect(text).toContain("every ± and interval is taken 2.0 times as wide");
    expect(misfitTexts(misfit(null), mm)[0]).toMatch(/^No reason was found: /);
  });

  it("is data in degrees or mm", () => {
    const angle = misfit(likely({ kind: "drift", sources: [{ kind: "ramp", of: "a" }] }, 0.5 * DEGREE));
    expect(misfitJson(angle)).toMatchObject({
      named: { kind: "drift", unit: "deg", chance: 0.97 },
      widening: 1,
    });
    const [size] = [misfitJson(angle)].map((json) => (json as { named: { size: number } }).named.size);
    expect(size).toBeCloseTo(0.5, 12);
    expect(misfitJson(misfit(likely(bias("feeler"), 0.03)))).toMatchObject({
      named: { unit: "mm", size: 0.03 },
    });
    expect(misfitJson(null)).toBeNull();
  });
});
