import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { jobToPlay } from "../../../src/features/play/live-page.js";
import { MAGNIFICATIONS, playCell } from "../../../src/features/play/play-cell.js";
import { furthest, scaleOf, slidersOf } from "../../../src/features/play/play-job.js";
import {
  firstState,
  type PlayNames,
  type PlayState,
  readAddress,
  writeAddress,
} from "../../../src/features/play/play-state.js";
import { typedSize } from "../../../src/features/play/play-text.js";
import { loadJob } from "../../../src/io/job/load-job.js";

const job = jobToPlay(loadJob(resolve(import.meta.dirname, "../../../data/alcove-screen")));
const sliders = slidersOf(job);
const names: PlayNames = {
  units: "mm",
  sliders,
  magnifications: MAGNIFICATIONS,
  challenges: 3,
  pieces: playCell(job).cell.pieces.map(({ name }) => name),
};
const slider = (label: string) => sliders.find((one) => one.label === label)!;

describe("the address of the page to play with", () => {
  it("is empty for a page as it is opened", () => {
    expect(writeAddress(firstState(names), names)).toBe("");
    expect(readAddress("", names)).toEqual({ state: firstState(names), refused: [] });
  });

  it("is read back as it was written, with two cells and all choices", () => {
    const values = sliders.map((one, i) => (i % 2 === 0 ? 1 : -1) * Number((furthest(one) / 3).toFixed(6)));
    const state: PlayState = {
      unit: "in",
      side: "back",
      magnification: 20,
      challenge: 2,
      active: 1,
      cells: [
        { values: sliders.map(() => 0), trims: { diagonal: 0.06 } },
        { values, trims: {} },
      ],
    };
    expect(readAddress(writeAddress(state, names), names)).toEqual({ state, refused: [] });
  });

  it.each([
    "a.source-99=1",
    "a.source-0=3",
    "a.source-0=NaN",
    "a.source-0=",
    "a.source-0=1e999",
    "a.trim.nothing=0.1",
    "a.trim.diagonal=-0.1",
    "a.trim.diagonal=5",
    "c.source-0=1",
    "unit=ft",
    "times=3",
    "challenge=4",
    "cells=9",
    "__proto__=1",
    "constructor=1",
    "a.trim.__proto__=0.1",
    "<img src=x onerror=alert(1)>",
  ])("leaves out and names %s", (text) => {
    const { state, refused } = readAddress(`${text}&a.source-1=0.5`, names);
    expect(refused).toHaveLength(1);
    expect(refused[0]!.length).toBeLessThanOrEqual(60);
    const first = firstState(names);
    expect(state).toEqual({
      ...first,
      cells: [{ values: sliders.map((_, i) => (i === 1 ? 0.5 : 0)), trims: {} }],
    });
  });

  it("does not read an address without an end", () => {
    expect(readAddress(`a.source-0=1&${"x".repeat(5000)}`, names).state).toEqual(firstState(names));
  });
});

describe("a size typed beside a slider", () => {
  it.each([
    ["Ramp of point-67", "0.35", "mm", 0.35],
    ["Ramp of point-67", "-0°30'", "mm", -0.5],
    ["Ramp of point-67", "1 blunter", "mm", -1],
    ["Ramp of point-67", "+0.75° sharper", "mm", 0.75],
    ["Stop of key-end", "0.1", "mm", 0.1],
    ["Stop of key-end", "−0.1 mm", "in", -0.1],
    ["Stop of key-end", "4", "in", 0.1016],
    ["Stop of key-end", "4 thou shorter", "mm", -0.1016],
    ["Stop of key-end", "1/64 in", "in", 0.396875],
  ] as const)("of %s: %s in %s", (label, text, unit, value) => {
    expect(typedSize(slider(label), text, unit)).toBeCloseTo(value, 9);
  });

  it.each(["", "abc", "0.1 kg", "1,234", "3 mm"])("refuses %j with a sentence", (text) => {
    expect(() => typedSize(slider("Stop of key-end"), text, "mm")).toThrow(
      /Stop of key-end|stop of key-end/i,
    );
  });

  it("goes by the user's steps", () => {
    expect(scaleOf(slider("Stop of key-end"), "mm")).toEqual({ most: 0.5, step: 0.01, size: 1 });
    expect(scaleOf(slider("Stop of key-end"), "in")).toEqual({ most: 20, step: 0.5, size: 0.0254 });
    expect(scaleOf(slider("Ramp of point-45"), "in").step).toBe(0.05);
  });
});
