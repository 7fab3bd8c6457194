import { describe, expect, it } from "vitest";
import { chartLabels } from "../../../src/render/charts/chart-spec.js";
import { specToSvg } from "../../../src/render/charts/draw-chart.js";
import { statesChart } from "../../../src/render/charts/states-chart.js";
import { userError } from "../../user-error.js";
import { layersOf, legendOf, rowsOf } from "./charts-of.js";

const STATES = ["January", "April", "July", "October"];
const OPTIONS = { title: "A year", names: { line: "expected", band: "interval" } };
const values = [-1, 0, 2, 1].map((value) => ({ value, low: value - 0.5, high: value + 0.5 }));

describe("a chart of states", () => {
  it("has every state, level and band in it", async () => {
    const spec = statesChart(
      STATES,
      [{ title: "Change", values, level: { value: 2.4, label: "the limit", kind: "limit" } }],
      OPTIONS,
    );
    const svg = await specToSvg(spec, chartLabels(spec));
    for (const text of [...STATES, "Change", "the limit", "expected", "interval"])
      expect(svg).toContain(text);
    expect(spec.description).toContain("lowest −1 in January, highest 2 in July");
  });

  it("gives each state its row, with its band, and the level as a rule through all states", () => {
    const level = { value: 2.4, label: "the limit", kind: "limit" } as const;
    const spec = statesChart(STATES, [{ title: "Change", values, level }], OPTIONS);
    expect(rowsOf(spec, "expected").map(({ state, value }) => [state, value])).toEqual([
      ...[
        [0, -1],
        [1, 0],
        [2, 2],
        [3, 1],
      ],
    ]);
    expect(rowsOf(spec, "interval").map(({ value, high }) => [value, high])).toEqual([
      ...[
        [-1.5, -0.5],
        [-0.5, 0.5],
        [1.5, 2.5],
        [0.5, 1.5],
      ],
    ]);
    const rule = layersOf(spec).find(({ data }) =>
      data.values.some(({ meaning }) => meaning === "the limit"),
    )!;
    expect(rule.mark.type).toBe("rule");
    expect(rule.encoding.x).toBeUndefined();
    const [low, high] = rule.encoding.y!.scale!.domain as number[];
    expect(low).toBeLessThan(-1.5);
    expect(high).toBeGreaterThan(2.5);
    expect(legendOf(spec)).toEqual(["expected", "interval", "the limit"]);
  });

  it("has three round figures or more along each vertical axis, whatever the numbers", async () => {
    for (const size of [1e-4, 0.013, 0.3, 1.17, 2, 9.9, 310]) {
      for (const from of [0, -0.6, -1, 40]) {
        const plain = [from, from + 1, from + 0.4, from + 0.2].map((value) => ({ value: value * size }));
        const spec = statesChart(STATES, [{ title: "x", values: plain }], OPTIONS);
        const { axis, scale } = layersOf(spec).find(({ encoding }) => encoding.y?.axis)!.encoding.y!;
        const ticks = (axis as { values: number[] }).values;
        const [low, high] = scale!.domain as number[];
        expect(ticks.length).toBeGreaterThanOrEqual(3);
        expect(ticks.length).toBeLessThanOrEqual(7);
        for (const tick of ticks)
          expect(tick >= low! - 1e-9 * size && tick <= high! + 1e-9 * size).toBe(true);
      }
    }
  });

  it("has nothing of a band in the legend where there is none", () => {
    const plain = values.map(({ value }) => ({ value }));
    expect(legendOf(statesChart(STATES, [{ title: "x", values: plain }], OPTIONS))).toEqual(["expected"]);
  });

  it("shortens names that have no room", async () => {
    const twelve = Array.from({ length: 12 }, (_, i) => `Month number ${i}`);
    const spec = statesChart(twelve, [{ title: "x", values: twelve.map((_, i) => ({ value: i })) }], OPTIONS);
    const svg = await specToSvg(spec, chartLabels(spec));
    expect(svg).toContain("Mon");
    expect(svg.match(/>Month number/g)).toBeNull();
  });

  it("refuses what cannot be drawn", () => {
    expect(() => statesChart([], [], OPTIONS)).toThrow(userError("chart"));
    expect(() => statesChart(STATES, [{ title: "x", values: values.slice(1) }], OPTIONS)).toThrow(
      /one value a state; it has 3 for 4/,
    );
    expect(() => statesChart(["a"], [{ title: "x", values: [{ value: Number.NaN }] }], OPTIONS)).toThrow(
      userError("chart"),
    );
  });
});
