import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { exampleIn, sentenceIn } from "../../src/io/example-units.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { likelySlip } from "../../src/io/likely-slip.js";
import { loadTrials } from "../../src/io/trials/load-trials.js";
import { inFolder } from "./in-folder.js";

describe("an example", () => {
  it.each([
    ["opening: 60 mm", "opening: 2 3/8 in"],
    ["{ base: 90 mm, leaves: [0.1 mm, 0.2 mm] }", "{ base: 3 9/16 in, leaves: [4 thou, 8 thou] }"],
    ["by: -0.15 mm", "by: -6 thou"],
    ["resolution: 0.01 mm", "resolution: 0.4 thou"],
    ["lengths: [900 mm]", "lengths: [35 in]"],
    ["45 deg", "45 deg"],
  ])("is in inches for a job in inches: %s", (mm, inches) => {
    expect(exampleIn(mm, "in")).toBe(inches);
    expect(exampleIn(mm, "mm")).toBe(mm);
  });
});

describe("a sentence about computed lengths", () => {
  it.each([
    ["Thickness 25.4 mm; use a thinner strip.", "Thickness 1 in; use a thinner strip."],
    ["it takes 257.2 mm and 66.2 mm are left", "it takes 10.13 in and 2.606 in are left"],
    ["the snug limit of 0.0254 mm", "the snug limit of 1 thou"],
    ["it is 45° off", "it is 45° off"],
  ])("is in inches for a shop in inches: %s", (mm, inches) => {
    expect(sentenceIn(mm, "in")).toBe(inches);
    expect(sentenceIn(mm, "mm")).toBe(mm);
  });
});

describe("the likeliest slip", () => {
  const fits = (most: number) => (mm: number) => mm >= 0.001 && mm <= most;
  it.each([
    ["2", 2 * 25.4, 5, "it looks like thou", "2 thou"],
    ["0.2", 0.2 * 25.4, 5, "it looks like mm", "0.2 mm"],
    ["4", 4 * 25.4, 0.8, "it looks like thou", "4 thou"],
  ])("of %s in a shop in inches", (typed, mm, most, problem, meant) => {
    const past = (size: number): boolean => fits(most)(size) && size !== mm;
    expect(likelySlip(mm, typed, "in", past)).toEqual({ problem, meant });
  });
});

const jobWith = (lines: string): string =>
  join(inFolder({ "job.yaml": `pattern: asanoha-square\n${lines}` }), "job.yaml");
const INCH = "opening: 2 3/8\nstrip: 1/8\n";
const asCut = (length: string): string =>
  `as-cut: { pieces: { key-1: { cuts: { end-left: { axial: ${length} } } } } }\n`;

describe("a job in inches", () => {
  it.each(["in", "inch", "inches"])("may say so as units: %s", (units) => {
    expect(loadJob(jobWith(`units: ${units}\n${INCH}`))).toMatchObject({ units: "in", opening: 60.325 });
  });

  it("refuses a unit that is none, and a missing size with an example in inches", () => {
    expect(() => loadJob(jobWith(`units: feet\n${INCH}`))).toThrow(/it must be mm or in/);
    expect(() => loadJob(jobWith("units: in\nopening: 2 in\n"))).toThrow(/strip: 1\/8 in/);
    expect(() => loadJob(jobWith("units: mm\nopening: 50\n"))).toThrow(/strip: 3 mm/);
  });

  it("refuses a bare length among as-cut errors, which old files meant as mm, and says how to mend it", () => {
    expect(() => loadJob(jobWith(`units: in\n${INCH}${asCut("0.05")}`))).toThrow(/its unit is missing.*thou/);
    const cut = loadJob(jobWith(`units: in\n${INCH}${asCut("2 thou")}`)).asCut;
    expect(cut?.pieces?.["key-1"]?.cuts?.["end-left"]?.axial).toBeCloseTo(0.0508, 12);
    expect(
      loadJob(jobWith(`opening: 60\nstrip: 3\n${asCut("0.05")}`)).asCut?.pieces?.["key-1"],
    ).toMatchObject({
      cuts: { "end-left": { axial: 0.05 } },
    });
  });

  it("has faults of its table mended in inches", () => {
    const folder = inFolder({
      "job.yaml": `units: in\npattern: asanoha-square\n${INCH}instruments: { caliper: { reads: length, resolution: 0.5 thou } }\n`,
      "trials.csv": "trial,set-up,bench,joint,what,value,unit,instrument\nk1,,none,key-1,length,,,caliper\n",
    });
    const faults = (): unknown => loadTrials(folder, loadJob(folder));
    expect(faults).toThrow(/Right would be/);
    expect(faults).not.toThrow(/\d mm\b/);
  });
});
