import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { JobCells } from "../../../src/inference/likelihood/read-specimen.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { longIt } from "../../tools/longer.js";
import { DEPARTING, type DepartureName, simulateDeparture } from "./departing-shop.js";
import type { JudgedAdvice } from "./judge-advice.js";
import {
  adviceLine,
  binomialBounds,
  departureFigures,
  missesOf,
  simultaneous,
  sourceLine,
  studyFigures,
} from "./study-figures.js";
import { closedAsZero, loadWorld, MISTAKE, makeMistakes, type SourceTried, tryOne } from "./try-world.js";

describe("bounds of a share", () => {
  // P(X ≤ k) summed term by term.
  const atMost = (k: number, n: number, p: number): number => {
    let [term, sum] = [(1 - p) ** n, 0];
    for (let i = 0; i <= k; i++) {
      sum += term;
      term *= ((n - i) / (i + 1)) * (p / (1 - p));
    }
    return sum;
  };

  it("leave half of the doubt on either side", () => {
    const [low, high] = binomialBounds(37, 40, 0.9);
    expect(1 - atMost(36, 40, low)).toBeCloseTo(0.05, 9);
    expect(atMost(37, 40, high)).toBeCloseTo(0.05, 9);
  });

  it("at none and all are the roots of the doubt", () => {
    expect(binomialBounds(0, 20, 0.95)[0]).toBe(0);
    expect(binomialBounds(0, 20, 0.95)[1]).toBeCloseTo(1 - 0.025 ** (1 / 20), 9);
    expect(binomialBounds(20, 20, 0.95)[1]).toBe(1);
  });

  it("for many lines hold together", () => {
    expect(simultaneous(0.95, 34) ** 34).toBeCloseTo(0.95, 12);
  });
});

describe("a line of the study", () => {
  const names = { world: "w", source: "s", angular: false, confidence: simultaneous(0.95, 34) };
  const normal = createStream(5);
  /** A source whose intervals are `wide` times what they should be, `off` by so many standard uncertainties. */
  const made = (wide: number, off = 0, learned = 0.9): SourceTried[] =>
    Array.from({ length: 4000 }, () => {
      const estimate = normal.normal() + off;
      const interval = [estimate - 1.96 * wide, estimate + 1.96 * wide] as const;
      return {
        truth: 0,
        estimate,
        interval,
        learned,
        standardUncertainty: 1,
        fromData: learned > 0.2,
      };
    });

  it("passes an honest source", () => {
    expect(sourceLine(made(1), names).met).toEqual({ coverage: "met", bias: "met", priorSpeaks: null });
  });

  it("fails one too sure of itself, one too unsure, and one that is off", () => {
    expect(sourceLine(made(0.8), names).met.coverage).toBe("missed");
    expect(sourceLine(made(1.3), names).met.coverage).toBe("missed");
    expect(sourceLine(made(1, 0.3), names).met.bias).toBe("missed");
  });

  it("lets a source that is not identified be unsure, but not too sure", () => {
    expect(sourceLine(made(1.3, 0, 0.1), names)).toMatchObject({
      identified: false,
      met: { coverage: "met" },
    });
    expect(sourceLine(made(0.8, 0, 0.1), names).met.coverage).toBe("missed");
  });

  it("does not call what chance may do a miss", () => {
    const few = made(1).slice(0, 10);
    const [first, second, ...rest] = few.map((one) => ({ ...one, truth: one.estimate }));
    const two = [first!, second!].map((one) => ({ ...one, truth: one.estimate + 3 }));
    expect(sourceLine([...two, ...rest], names).met.coverage).toBe("unclear");
  });

  it("counts moves made in vain and plans that made things worse", () => {
    const move = (adjusted: boolean, worth: number) => ({ adjusted, worth, measureFirst: false });
    const rest = { verdict: null, held: false, followed: null };
    const plans: JudgedAdvice[] = [
      {
        ...rest,
        adjusted: true,
        before: 5,
        after: 6,
        expectedBefore: 5,
        expectedAfter: 4,
        adjusters: [move(true, 0.1), move(false, 0.2)],
      },
      {
        ...rest,
        adjusted: true,
        before: 5,
        after: 2,
        expectedBefore: 5,
        expectedAfter: 2,
        adjusters: [move(true, 4), move(false, 4)],
        followed: { borrowed: true, after: 1.5 },
      },
    ];
    expect(adviceLine("w", plans, 0.5)).toMatchObject({
      asked: 2,
      adjusted: 2,
      wrong: 1,
      notWorth: 2,
      movedInVain: 1,
      followed: { asked: 1, borrowed: 1, before: 5, without: 2, after: 1.5, wrongWithout: 0, wrongAfter: 0 },
    });
  });
});

describe("a shop that departs from the model", () => {
  const { job, plan } = loadWorld("departing");
  const cells = new JobCells();
  const normals = createStream(4);
  const truth = Float64Array.from(jobSources(job), ({ priorSd }) => priorSd * normals.normal());
  const shown = (departure: DepartureName, substream = 3) =>
    simulateDeparture(job, plan, departure, { truth, seed: 2, substream, cells });
  const sound = shown("none").readings;
  const changed = (departure: DepartureName) => {
    const { readings, ...rest } = shown(departure);
    const other = readings.filter(({ value, low, high }, i) => {
      const one = sound[i]!;
      return value !== one.value || low !== one.low || high !== one.high;
    });
    return { ...rest, readings, other };
  };

  it("whose feeler is biased shows other gaps and nothing else", () => {
    const { other } = changed("gauge bias");
    expect(other.length).toBeGreaterThan(0);
    expect(new Set(other.map(({ what }) => what))).toEqual(new Set(["gap"]));
  });

  it("with two batches has pieces of either thickness, with a ramp that drifts its last angle", () => {
    const stock = changed("mixed stock");
    const thick = stock.readings.flatMap(({ what, value }, i) =>
      what === "thickness" ? [value! - sound[i]!.value!] : [],
    );
    expect(thick.some((by) => Math.abs(by) < 1e-9)).toBe(true);
    expect(thick.some((by) => Math.abs(Math.abs(by) - DEPARTING.stock) < 0.011)).toBe(true);
    const moved = shown("drift").end.map((value, i) => Math.abs(value - truth[i]!));
    expect(Math.max(...moved)).toBeCloseTo(DEPARTING.drift, 12);
  });

  it("with two readings exchanged has the same readings; an odd trial is one trial", () => {
    const { other } = changed("swapped joint");
    expect(other).toHaveLength(2);
    const both = other.map(({ id }) => sound.find((one) => one.id === id)!);
    expect([other[0]!.low, other[0]!.high]).toEqual([both[1]!.low, both[1]!.high]);
    expect(new Set(changed("odd trial").other.map(({ trial }) => trial)).size).toBe(1);
    expect(shown("larger scatter").scatter).toBe(DEPARTING.scatter);
  });

  it("is counted: noticed, named, and what the plan does", () => {
    const line = (departure: DepartureName, noticed: boolean, after: number) => ({
      sources: [],
      closed: 0,
      readings: 1,
      departed: { departure, noticed, named: noticed ? ["drift" as const] : [] },
      advice: {
        verdict: null,
        held: noticed,
        adjusted: !noticed,
        before: 2,
        after,
        followed: null,
        expectedBefore: 2,
        expectedAfter: 1,
        adjusters: [],
      },
    });
    const { lines, targets } = departureFigures([
      ...Array.from({ length: 30 }, () => line("drift", true, 2)),
      ...Array.from({ length: 30 }, () => line("odd trial", false, 3)),
      ...Array.from({ length: 30 }, () => line("none", false, 1)),
    ]);
    expect(lines.map(({ departure, noticed, named, harmed }) => [departure, noticed, named, harmed])).toEqual(
      [
        ["none", 0, 0, 0],
        ["drift", 30, 30, 0],
        ["odd trial", 0, 0, 30],
      ],
    );
    expect(targets.map(({ share, met }) => [share, met])).toEqual([
      [0.5, "missed"],
      [0.5, "missed"],
      [0, "met"],
      [0.5, "missed"],
    ]);
  });
});

describe("spoilt readings", () => {
  const world = loadWorld("one-in-ten-wrong");
  const readings = world.plan.map((reading) => ({ ...reading, value: 1, low: null, high: null }));

  it("are one in ten, by the stated sizes, and the rest untouched", () => {
    const spoilt = makeMistakes(readings, 0.1, createStream(2));
    const wrong = spoilt.filter(({ value }) => value !== 1);
    expect(wrong).toHaveLength(Math.round(readings.length / 10));
    for (const { value, what } of wrong) {
      const [least, most] = what === "angle" ? MISTAKE.angle : MISTAKE.length;
      expect(Math.abs(value! - 1)).toBeGreaterThanOrEqual(least - 1e-12);
      expect(Math.abs(value! - 1)).toBeLessThanOrEqual(most + 1e-12);
    }
  });

  it("of the control are zero where nothing went in", () => {
    const [one] = readings;
    const closed = { ...one!, what: "gap" as const, value: null, low: Number.NEGATIVE_INFINITY, high: 0.05 };
    const open = { ...closed, low: 0.05, high: 0.1 };
    expect(closedAsZero([closed, open])).toEqual([{ ...closed, value: 0, low: null, high: null }, open]);
  });
});

describe("a data set", () => {
  const world = loadWorld("two-rounds");

  longIt("depends on its number alone, whatever was tried before", () => {
    const alone = tryOne(world, 3, 1, false);
    tryOne(world, 1, 1, false);
    expect(tryOne(loadWorld("two-rounds"), 3, 1, false)).toEqual(alone);
    expect(tryOne(world, 2, 1, false).sources[0]!.truth).not.toBe(alone.sources[0]!.truth);
  });
});

describe("the negative control", () => {
  it("that goes unnoticed is a miss", () => {
    const world = loadWorld("control");
    const sources = Array.from({ length: 8 }, () => ({
      truth: 0,
      estimate: 0,
      standardUncertainty: 1,
      interval: [-1, 1] as const,
      learned: 0.9,
      fromData: true,
    }));
    const tried = Array.from({ length: 50 }, () => ({
      sources,
      advice: null,
      closed: 1,
      readings: 2,
      departed: null,
    }));
    expect(missesOf(studyFigures([{ world, done: { tried, failed: [] } }]))).toHaveLength(1);
  });
});
