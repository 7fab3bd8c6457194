import { describe, expect, it } from "vitest";
import { bestCheck, rankedChecks, wouldSee } from "../../../src/features/explain/best-check.js";
import { explainCells, type JudgedHypothesis } from "../../../src/features/explain/explain-cells.js";
import { seenByEye, withEye } from "../../../src/features/explain/seen-by-eye.js";
import { sourceText } from "../../../src/render/source-text.js";
import { cellWith, job, specimen } from "./invented-cell.js";

const one = { severalOdds: 0 };
const nameOf = ({ causes }: Pick<JudgedHypothesis, "causes">): string =>
  causes.map(({ id }) => sourceText(id)).join() || "nothing";

describe("an explanation", () => {
  it.each([
    ["ramp of point-45", 1.5],
    ["ramp of bevel-22", 1.5],
    ["stop of diagonal-end", -1.2],
    ["stop of hinge-mitre", -1.2],
  ])("names the %s and an interval that holds its size", (source, deviations) => {
    const { outcome, hypotheses } = explainCells(job, cellWith(source, deviations, { seed: 7 }), one);
    expect(outcome).toBe("identified");
    const [first] = hypotheses;
    expect(nameOf(first!)).toBe(source);
    const truth = deviations * first!.causes[0]!.priorSd;
    const [low, high] = first!.sizes[0]!.interval;
    expect(low).toBeLessThan(truth);
    expect(high).toBeGreaterThan(truth);
  });

  it("adds up to 1, is the same for the same seed, and does not mind the order of the readings", () => {
    const readings = cellWith("stop of key-end", -1.2, { seed: 2 });
    const first = explainCells(job, readings, one);
    const again = explainCells(job, [...readings], one);
    const turned = explainCells(job, [...readings].reverse(), one);
    const probabilities = first.hypotheses.map(({ probability }) => probability);
    expect(probabilities.reduce((a, b) => a + b, 0)).toBeCloseTo(1, 12);
    expect(again.hypotheses.map(({ probability }) => probability)).toEqual(probabilities);
    for (const { index, probability, standardError } of first.hypotheses) {
      const other = turned.hypotheses.find((judged) => judged.index === index)!;
      const width = 4 * Math.hypot(standardError, other.standardError) + 1e-9;
      expect(Math.abs(other.probability - probability)).toBeLessThan(width);
    }
  });

  it("learns more from two cells than from one", () => {
    const cells = [11, 12].map((seed, i) =>
      cellWith("ramp of point-67", -1.2, { seed }).map((reading) => ({ ...reading, trial: `c${i}` })),
    );
    const width = (readings: ReturnType<typeof cellWith>): number => {
      const { hypotheses } = explainCells(job, readings, one);
      const ramp = hypotheses.find((judged) => nameOf(judged) === "ramp of point-67")!;
      return ramp.sizes[0]!.interval[1] - ramp.sizes[0]!.interval[0];
    };
    expect(width(cells.flat())).toBeLessThan(Math.min(width(cells[0]!), width(cells[1]!)));
  });

  it("moves with the odds stated beforehand", () => {
    const readings = cellWith("stop of key-end", -0.6, { seed: 2 });
    const nothing = (nothingOdds: number) =>
      explainCells(job, readings, { ...one, nothingOdds }).hypotheses.find(({ index }) => index === 0)!;
    const [fair, biased] = [nothing(1), nothing(4)];
    const odds = ({ probability: p }: { readonly probability: number }): number => p / (1 - p);
    const unsure = [fair, biased].map((v) => v.standardError / (v.probability * (1 - v.probability)));
    expect(Math.abs(Math.log(odds(biased) / odds(fair) / 4))).toBeLessThan(4 * Math.hypot(...unsure));
    expect(Math.hypot(...unsure)).toBeLessThan(0.15);
  });

  it("takes several causes at once into account, whose sizes it leaves open", () => {
    const { hypotheses } = explainCells(job, cellWith("ramp of point-67", 1.5, { seed: 7 }));
    const several = hypotheses.find(({ causes }) => causes.length > 1)!;
    expect(several.probability).toBeGreaterThan(0);
    expect(several.sizes).toHaveLength(10);
  });
});

describe("cells where nothing goes in", () => {
  const closed = cellWith(null, 0, { seed: 4, instrument: "feeler" });
  const explanation = explainCells(job, closed, one);

  it("tell nothing: the odds of no hypothesis rise by more than half", () => {
    expect(closed.every(({ low }) => low === Number.NEGATIVE_INFINITY)).toBe(true);
    expect(explanation.outcome).toBe("closed");
    expect(explanation.largestRise).toBeLessThan(1.5);
    expect(explanation.hypotheses.map(({ index }) => index)).toEqual(explanation.hypotheses.map((_, k) => k));
  });

  it("are asked with another instrument: the finer strips see more than the feeler, which sees nothing", () => {
    const { inThisCell, byCause } = wouldSee(explanation);
    const chance = (instrument: string, at: string): number =>
      inThisCell.find((row) => row.instrument === instrument && row.at === at)!.chance;
    expect(chance("feeler", "widest")).toBeLessThan(0.02);
    expect(chance("shim-strips", "widest")).toBeGreaterThan(0.1);
    const ramp = byCause.find(({ judged }) => nameOf(judged) === "stop of key-end")!;
    expect(ramp.check?.check).toMatchObject({ what: "length", subject: "key-1", instrument: "caliper" });
  });
});

describe("the check that tells two apart", () => {
  const explanation = explainCells(job, cellWith("stop of key-end", -1.2, { seed: 106 }), one);
  const [first, second] = explanation.hypotheses;

  it("measures what only one of them changes", () => {
    expect(new Set([nameOf(first!), nameOf(second!)])).toEqual(
      new Set(["stop of key-end", "stop of hinge-seat"]),
    );
    const check = bestCheck(explanation, first!, second!)!;
    expect(check.check).toMatchObject({ what: "length", subject: "key-1" });
    expect(check.bits).toBeGreaterThan(0.9);
  });

  it("is never a trial of a set-up that neither acts on", () => {
    for (const { check, bits } of rankedChecks(explanation, first!, second!)) {
      expect(bits).toBeGreaterThanOrEqual(0);
      expect(bits).toBeLessThanOrEqual(1);
      if (check.setUp !== null) expect(check.setUp).toMatch(/^(hinge|key)/);
    }
  });
});

describe("what an eye saw", () => {
  it("counts as intervals: open, closed, tight", () => {
    const sights = [
      { joint: "key-1.end-left", at: "widest", seen: "open" },
      { joint: "hinge-1.end-right|hinge-2.end-left", at: "heel", seen: "closed" },
      { joint: "hinge-2.start-left", at: "toe", seen: "tight" },
    ] as const;
    const readings = seenByEye(job, specimen.cell, sights);
    expect(readings.map(({ low, high }) => [low, high])).toEqual([
      [0.05, Number.POSITIVE_INFINITY],
      [Number.NEGATIVE_INFINITY, 0.05],
      [Number.NEGATIVE_INFINITY, -job.limits.snug],
    ]);
    expect(explainCells(withEye(job), readings, one).outcome).not.toBe("closed");
  });

  it("refuses a joint that is not there or not clear", () => {
    const see = (joint: string) => () =>
      seenByEye(job, specimen.cell, [{ joint, at: "widest", seen: "open" }]);
    expect(see("hinge-9")).toThrow("There is no joint “hinge-9”");
    expect(see("hinge-1")).toThrow("must fit one joint only");
  });
});

it("refuses to explain a table without a cell", () => {
  expect(() => explainCells(job, [])).toThrow("an explanation needs gaps read in an assembled cell");
});
