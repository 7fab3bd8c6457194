import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import {
  analysisOfVariance,
  crossedTable,
  type GaugeReading,
  rangeConstants,
  rangeDivisor,
} from "../../../src/features/gauge/analysis-of-variance.js";
import { gaugeText } from "../../../src/features/gauge/gauge-report.js";
import { componentsOf, studyGauge } from "../../../src/features/gauge/gauge-study.js";
import { userError } from "../../user-error.js";

interface Published {
  readonly data: readonly (readonly [number, number, string, number])[];
  readonly meanSquares: Record<"part" | "operator" | "interaction" | "repeatability", [number, number]>;
  readonly interactionF: number;
  readonly interactionP: number;
  readonly variances: Record<"repeatability" | "reproducibility" | "gauge" | "part" | "total", number>;
  readonly gaugePercentOfTotal: number;
  readonly groupsToldApart: number;
  readonly averageAndRange: Record<"equipment" | "appraiser" | "gauge" | "part" | "total", number>;
}
const published: Published = JSON.parse(
  readFileSync(join(import.meta.dirname, "../../../data/published/gauge-study.json"), "utf8"),
);
const readings = published.data.map(
  ([value, part, reader]): GaugeReading => ({ part: String(part), reader, value }),
);

/** Within half a unit of the last printed digit. */
const printed = (value: number, text: number): void =>
  expect(Math.abs(value - text)).toBeLessThanOrEqual(0.5000001 * 10 ** -decimals(text));
const decimals = (x: number): number => String(x).split(".")[1]?.length ?? 0;

/** Example of ten parts, three operators and three trials: AIAG, Measurement Systems Analysis; where each figure was seen stands in its file. */
describe("the published study of ten parts, three readers, three repeats", () => {
  const study = studyGauge(readings, { tolerance: 8 });
  const { analysis, components } = study;

  it("has the printed mean squares and degrees of freedom", () => {
    const { part, operator, interaction, repeatability } = published.meanSquares;
    for (const [line, [square, degrees]] of [
      [analysis.parts, part],
      [analysis.readers!, operator],
      [analysis.interaction!, interaction],
      [analysis.repeats, repeatability],
    ] as const) {
      printed(line.meanSquare, square);
      expect(line.degreesOfFreedom).toBe(degrees);
    }
  });

  it("pools an interaction that luck explains", () => {
    printed(analysis.interaction!.f!, published.interactionF);
    printed(analysis.interaction!.probability!, published.interactionP);
    expect(analysis.pooled!.degreesOfFreedom).toBe(78);
    expect(components.interaction).toBe(0);
  });

  it("has the printed variance components", () => {
    const { repeatability, reproducibility, gauge, part, total } = published.variances;
    printed(components.repeatability.standardDeviation ** 2, repeatability);
    printed(components.reproducibility!.standardDeviation ** 2, reproducibility);
    printed(components.gauge.standardDeviation ** 2, gauge);
    printed(components.parts.standardDeviation ** 2, part);
    printed(components.total ** 2, total);
    printed((100 * components.gauge.standardDeviation) / components.total, published.gaugePercentOfTotal);
    expect(Math.floor(study.distinct!)).toBe(published.groupsToldApart);
    expect(study.shareOfTolerance).toBeCloseTo((6 * Math.sqrt(gauge)) / 8, 4);
  });

  it("has the recomputed figures of averages and ranges", () => {
    const { equipment, appraiser, gauge, part, total } = published.averageAndRange;
    const { ranges } = study;
    // The manual's factors have four digits; ours are not rounded.
    for (const [ours, theirs] of [
      [ranges.repeatability, equipment],
      [ranges.reproducibility, appraiser],
      [ranges.gauge, gauge],
      [ranges.parts, part],
      [ranges.total, total],
    ] as const)
      expect(Math.abs(ours / theirs - 1)).toBeLessThan(2e-4);
  });

  it("does not hang on the order of parts, readers or repeats, nor on where zero is", () => {
    const other = studyGauge(
      [...readings].reverse().map((reading) => ({ ...reading, value: reading.value + 1000 })),
    );
    expect(other.components.total).toBeCloseTo(components.total, 9);
    expect(other.components.repeatability.degreesOfFreedom).toBeCloseTo(78, 6);
  });
});

describe("variance analysis", () => {
  it("of readings far from zero loses no more digits than the readings have", () => {
    const far = readings.map((reading) => ({ ...reading, value: reading.value + 2 ** 30 }));
    const [near, away] = [readings, far].map((list) => analysisOfVariance(crossedTable(list)));
    for (const line of ["parts", "readers", "interaction", "repeats"] as const)
      expect(Math.abs(away![line]!.sumOfSquares / near![line]!.sumOfSquares - 1)).toBeLessThan(1e-5);
  });

  it("adds up to the total sum of squares", () => {
    const { parts, readers, interaction, repeats } = analysisOfVariance(crossedTable(readings));
    const values = readings.map(({ value }) => value);
    const mean = values.reduce((a, b) => a + b, 0) / values.length;
    const total = values.reduce((sum, y) => sum + (y - mean) ** 2, 0);
    const lines = [parts, readers!, interaction!, repeats];
    expect(lines.reduce((sum, { sumOfSquares }) => sum + sumOfSquares, 0)).toBeCloseTo(total, 10);
    expect(lines.reduce((sum, { degreesOfFreedom }) => sum + degreesOfFreedom, 0)).toBe(values.length - 1);
  });

  it("keeps an interaction that luck does not explain", () => {
    // Reader B reads the odd parts high by 1: what is left from repeat to repeat is ±0.01.
    const lopsided = ["1", "2", "3", "4"].flatMap((part) =>
      ["A", "B"].flatMap((reader) =>
        [-0.01, 0.01].map((off) => ({
          part,
          reader,
          value: Number(part) + off + (reader === "B" && Number(part) % 2 === 1 ? 1 : 0),
        })),
      ),
    );
    const { analysis, components } = studyGauge(lopsided);
    expect(analysis.pooled).toBeNull();
    // By hand: cells minus their row and column means are ±¼, so the mean square is 2·8·(1/16)/3 = 1/3 and σ² = (1/3 − 0.0002)/2.
    expect(analysis.interaction!.meanSquare).toBeCloseTo(1 / 3, 12);
    expect(components.interaction ** 2).toBeCloseTo((1 / 3 - 0.0002) / 2, 12);
    expect(components.reproducibility!.standardDeviation).toBeGreaterThanOrEqual(components.interaction);
  });

  it("is one-way for one reader, and then says nothing of other readers", () => {
    const { analysis, components } = studyGauge([
      ...[1, 3].map((value) => ({ part: "p", reader: "A", value })),
      ...[6, 8].map((value) => ({ part: "q", reader: "A", value })),
    ]);
    // By hand: repeats (1 + 1 + 1 + 1)/2 = 2; parts 2·(2.5² + 2.5²)/1 = 25; σ²(parts) = (25 − 2)/2.
    expect(analysis.repeats.meanSquare).toBe(2);
    expect(analysis.parts.meanSquare).toBe(25);
    expect(components.parts.standardDeviation ** 2).toBeCloseTo(11.5, 12);
    expect(components.reproducibility).toBeNull();
    expect(components.gauge).toEqual(components.repeatability);
  });

  it("is right on average, and a little low where an interaction is pooled because it looks small", () => {
    const stream = createStream(20);
    const studies = 400;
    const [repeat, between] = [0.5, 0.8];
    const sums = { repeats: 0, repeatability: 0, reproducibility: 0 };
    for (let s = 0; s < studies; s++) {
      const offsets = [0, 1, 2].map(() => between * stream.normal());
      const drawn = [0, 1, 2, 3, 4].flatMap((part) => {
        const size = 2 * stream.normal();
        return offsets.flatMap((offset, reader) =>
          [0, 1].map(() => ({
            part: String(part),
            reader: String(reader),
            value: size + offset + repeat * stream.normal(),
          })),
        );
      });
      const analysis = analysisOfVariance(crossedTable(drawn));
      const components = componentsOf(analysis, { parts: 5, readers: 3, repeats: 2 });
      sums.repeats += analysis.repeats.meanSquare / studies;
      sums.repeatability += components.repeatability.standardDeviation ** 2 / studies;
      sums.reproducibility += components.reproducibility!.standardDeviation ** 2 / studies;
    }
    // 15 degrees of freedom: the mean of 400 variances is within 4·√(2/15/400) = 7 %; of three readers 4·√(2/2/400) = 20 %.
    expect(Math.abs(sums.repeats / repeat ** 2 - 1)).toBeLessThan(0.07);
    expect(Math.abs(sums.reproducibility / between ** 2 - 1)).toBeLessThan(0.2);
    expect(sums.repeatability).toBeLessThan(sums.repeats);
    expect(sums.repeatability / repeat ** 2).toBeGreaterThan(0.88);
  });
});

describe("readings that are all the same", () => {
  it("have no spread at all, not that of rounding, and no number of groups", () => {
    const same = ["1", "2", "3"].flatMap((part) =>
      ["A", "B", "C"].flatMap((reader) => [0, 1, 2].map(() => ({ part, reader, value: 43.47 }))),
    );
    const { analysis, components, distinct } = studyGauge(same);
    expect(components.gauge.standardDeviation).toBe(0);
    expect(components.parts.standardDeviation).toBe(0);
    expect(analysis.interaction!.probability).toBe(1);
    expect(distinct).toBeNull();
    const text = gaugeText({ instrument: "", kind: "length", units: "mm", study: studyGauge(same) });
    expect(text).not.toMatch(/NaN|Infinity/);
    expect(text).toContain("Every repeat read the same");
  });
});

describe("constants of ranges", () => {
  it("are the closed forms for two and three readings", () => {
    expect(rangeConstants(2).d2).toBeCloseTo(2 / Math.sqrt(Math.PI), 10);
    expect(rangeConstants(2).d3).toBeCloseTo(Math.sqrt(2 - 4 / Math.PI), 10);
    expect(rangeConstants(3).d2).toBeCloseTo(3 / Math.sqrt(Math.PI), 10);
  });

  it.each([
    // D. C. Montgomery, Introduction to Statistical Quality Control, appendix VI: d2 and d3 to three decimals.
    [4, 2.059, 0.88],
    [5, 2.326, 0.864],
    [10, 3.078, 0.797],
  ])("are those printed for %i", (n, d2, d3) => {
    printed(rangeConstants(n).d2, d2);
    printed(rangeConstants(n).d3, d3);
  });

  it("shrink to d2 for many ranges", () => {
    expect(rangeDivisor(3, 1)).toBeCloseTo(Math.hypot(1.69257, 0.88837), 4);
    expect(rangeDivisor(3, 1e9)).toBeCloseTo(rangeConstants(3).d2, 8);
  });

  it("refuse a range of one", () => {
    expect(() => rangeConstants(1)).toThrow(/n must be whole and ≥ 2; the value was 1/);
  });
});

describe("readings that make no study", () => {
  const full = ["1", "2"].flatMap((part) =>
    ["A", "B"].flatMap((reader) => [0, 1].map((value) => ({ part, reader, value }))),
  );
  it.each<[string, GaugeReading[], RegExp]>([
    [
      "a reader who missed a part",
      full.slice(0, 6),
      /not balanced.*A read part 1 twice and B read part 2 never/,
    ],
    ["one reading too many", [...full, full[0]!], /A read part 1 3 times and B read part 1 twice/],
    ["no repeats", full.filter(({ value }) => value === 0), /no repeated readings/],
    ["one part", full.filter(({ part }) => part === "1"), /too few parts/],
    [
      "a reading that is no number",
      [...full.slice(1), { part: "1", reader: "A", value: Number.NaN }],
      /no number/,
    ],
  ])("%s", (_, list, says) => {
    expect(() => studyGauge(list)).toThrow(userError("gauge"));
    expect(() => studyGauge(list)).toThrow(says);
  });
});
