import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { newJob } from "../../../src/features/new/new-job.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { residualsOf } from "../../../src/inference/estimates/judge-fit.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrials } from "../../../src/io/trials/load-trials.js";
import { JOB_EXAMPLES } from "../../../src/io/yaml/job-examples.js";
import { noErrors } from "../../../src/model/cell/cell-errors.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { sourceText } from "../../../src/render/source-text.js";
import { faultsOf, inFolder } from "../../io/in-folder.js";

const started = (units: "mm" | "in", name = "my screen"): string => {
  const folder = join(inFolder({}), name);
  newJob(folder, units);
  return folder;
};
const jobText = (folder: string): string => readFileSync(join(folder, "job.yaml"), "utf8");

/** The rows that stand in the job file as an example, as a table. */
function exampleTable(text: string): string {
  const lines = text.split("\n").map((line) => line.replace(/^# {3}/, ""));
  const first = lines.findIndex((line) => line.startsWith("id,trial,"));
  return `${lines.slice(first).join("\n")}\n`;
}

describe.each(["mm", "in"] as const)("a starter job in %s", (units) => {
  const folder = started(units);
  const job = loadJob(folder);

  it("loads without a fault, with a table of headings alone", () => {
    expect(job.units).toBe(units);
    expect(job.title).toBe("my screen");
    expect(loadTrials(folder, job)).toEqual([]);
  });

  it("says beside every key what is assumed where it stays as it is", () => {
    const text = jobText(folder).replace(/^# (?:Rows such as these|For a whole screen)[\s\S]*/m, "");
    const assumed = text.match(/as it stands/gi) ?? [];
    expect(assumed.length).toBeGreaterThanOrEqual(9);
    // A comment explains each key that a section has, but for the two that must be set.
    const keys = Object.keys(parse(text)).filter(
      (key) => !["title", "units", "opening", "strip"].includes(key),
    );
    const sections = text.split(/\n\n/);
    for (const key of keys.filter((one) => one !== "pattern")) {
      const own = sections.find((section) => new RegExp(`^${key}:`, "m").test(section)) ?? "";
      expect(own, key).toMatch(/#.*as it stands/i);
    }
  });

  it("is of a size that the shop would write so", () => {
    const inch = 25.4;
    expect(job.opening).toBeCloseTo(units === "mm" ? 60 : 2.375 * inch, 12);
    expect(job.strip).toBeCloseTo(units === "mm" ? 3 : inch / 8, 12);
    expect(jobText(folder)).toContain(units === "mm" ? "opening: 60 mm" : "opening: 2 3/8 in");
  });

  it("has a cell that closes when nothing is wrong, and every cut made at a set-up", () => {
    const cell = jobCell(job);
    expect(predictCell(cell, noErrors(cell)).widestGap).toBeLessThan(1e-9);
    expect(job.setUps.flatMap(({ cuts }) => cuts)).toHaveLength(7);
  });

  it("offers rows that load, and a fit of them that believes the job", () => {
    writeFileSync(join(folder, "trials.csv"), exampleTable(jobText(folder)));
    const readings = loadTrials(folder, job);
    expect(readings.length).toBeGreaterThanOrEqual(6);
    const fit = fitSources(job, readings);
    for (const { residual } of residualsOf(fit, 1)) expect(Math.abs(residual)).toBeLessThan(2);
    const ramp = fit.sources.find(({ id }) => sourceText(id) === "ramp of point-45")!;
    // The one angle read, 0.4° over its label, pulls the ramp that way and no further.
    expect((ramp.estimate * 180) / Math.PI).toBeGreaterThan(0.1);
    expect((ramp.estimate * 180) / Math.PI).toBeLessThan(0.4);
  });

  it("offers an error to try that opens a gap", () => {
    const text = jobText(folder).replace("# as-cut:", "as-cut:");
    const tried = loadJob(inFolder({ "job.yaml": text }));
    expect(tried.asCut?.pieces?.["hinge-1"]?.cuts?.["start-left"]?.angle).toBeCloseTo(-Math.PI / 180, 12);
  });

  it("offers lines for a whole screen that load as they stand", () => {
    const text = jobText(folder).replace(/^# (panel|stock|season|tolerances): /gm, "$1: ");
    const whole = loadJob(inFolder({ "job.yaml": text }));
    expect(whole.panel).toMatchObject({ rows: 3, columns: 4 });
    expect(whole.stock!.lengths[0]).toBeCloseTo(units === "mm" ? 900 : 36 * 25.4, 9);
    expect(whole.season!.shop.air!.temperature).toBeCloseTo(20, 9);
    expect(whole.toleranceGoal!.chance).toBe(0.9);
    for (const key of ["panel", "stock", "season"] as const) expect(job[key] ?? null).toBeNull();
  });

  it("has every section that a joiner fills in, and none that is not known", () => {
    const sections = [...jobText(folder).matchAll(/^([a-z-]+):/gm)].map((match) => match[1]!);
    const shop = ["jigs", "set-ups", "instruments", "scatter", "thickness", "grid", "limits"];
    for (const section of ["title", "units", "pattern", "opening", "strip", ...shop])
      expect(sections).toContain(section);
    for (const section of sections) expect(Object.keys(JOB_EXAMPLES)).toContain(section);
  });
});

describe("a new job", () => {
  it("takes the folder's name as its title, whatever it is", () => {
    const name = `it's "#1": <b>, [x]`;
    expect(loadJob(started("mm", name)).title).toBe(name);
  });

  it.each(["job.yaml", "job.json", "trials.csv"])("is not written over a %s", (name) => {
    const folder = inFolder({ [name]: "mine" });
    expect(faultsOf(() => newJob(folder))[0]!.sentence).toMatch(`a ${name} here already`);
    expect(readFileSync(join(folder, name), "utf8")).toBe("mine");
  });
});

describe("a folder whose name is no title", () => {
  it.each([
    ["long", "a".repeat(230), "a".repeat(100)],
    ["with a line break", "new\nline", "new line"],
    ["with a tab", "tab\tx", "tab x"],
    ["that turns the text", "\u202Ertl", "rtl"],
    ["of spaces", "  ", "My screen"],
  ])("%s still gets a job that its own reader takes", (_, name, title) => {
    expect(loadJob(started("mm", name)).title).toBe(title);
  });
});

describe("a job written by sukima new", () => {
  it.each([
    "x".repeat(200),
    "紙の格子".repeat(20),
    "# not a comment: [1, 2]",
    "null",
    "'single' \"double\" \\ back",
    "line\nbreak\ttab",
    "\u202eright to left\u2028",
    "   ",
    "🪵".repeat(30),
    "e\u0301\u0301\u0301",
    "a: &b *c !d |e >f %g @h `i",
    "1e3",
    "<script>alert(1)</script>".replaceAll("/", "-"),
  ])("is read by its reader in a folder named %j", (name) => {
    const folder = started("in", name);
    const job = loadJob(folder);
    expect(job.title).not.toBe("");
    expect(loadTrials(folder, job)).toEqual([]);
  });
});
