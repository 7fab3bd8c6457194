import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { parseLength } from "../../../src/core/quantity/index.js";
import {
  isTaken,
  leafCell,
  leafName,
  rowFault,
  sheetRows,
  tableOf,
} from "../../../src/features/sheet/readings-table.js";
import { freeTrial, stationChoices, trialGroups } from "../../../src/features/sheet/trial-list.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrialPlan, loadTrials } from "../../../src/io/trials/load-trials.js";

const DEMO = "data/alcove-screen";
const job = loadJob(DEMO);
const folder = mkdtempSync(join(tmpdir(), "sukima-rows-"));
const write = (name: string, text: string): void => writeFileSync(name, text);

describe("the table of trials on the page", () => {
  it("is written as it was read", () => {
    const rows = sheetRows(join(DEMO, "trials.csv"));
    expect(tableOf(rows).trim()).toBe(readFileSync(join(DEMO, "trials.csv"), "utf8").trim());
    expect(rows.every(isTaken)).toBe(true);
  });

  it("keeps a note that looks like a formula as text, and typed fractions as typed", () => {
    const [first] = sheetRows(join(DEMO, "trials.csv"));
    const typed = { ...first!, value: "45°36'", note: "=1+1" };
    const file = join(folder, "typed.csv");
    writeFileSync(file, tableOf([typed]));
    expect(sheetRows(file)).toEqual([typed]);
    expect(loadTrials(file, job)[0]?.value).toBeCloseTo((45.6 * Math.PI) / 180, 12);
    expect(readFileSync(file, "utf8")).toContain("'=1+1");
  });

  it("refuses a row in the sentences of the reader, and nothing else", () => {
    const [first] = sheetRows(join(DEMO, "trials.csv"));
    const file = join(folder, "one.csv");
    expect(rowFault(first!, job, write, file)).toBeNull();
    const said = rowFault({ ...first!, value: "80" }, job, write, file);
    expect(() => loadTrials(file, job)).toThrow(said?.split(" Right would be: ")[0]);
  });

  it.each(["mm", "in"])("writes every leaf so that it is read as itself, in %s", (unit) => {
    for (const leaf of [0.02, 0.05, 0.0254, 0.0381, 0.1016, 0.2032]) {
      const text = leafCell(leaf, unit);
      const read = /[a-z]/.test(text) ? text : `${text} ${unit}`;
      expect(Math.abs(parseLength(read, { unit: "mm" }) - leaf)).toBeLessThan(1e-6);
    }
    expect(leafCell(0.0381, "in")).toBe("0.0015");
    expect(leafName(0.0381, "in")).toBe("1.5 thou");
    expect(leafName(0.05, "mm")).toBe("0.05 mm");
  });
});

describe("the list of trials", () => {
  it("has every reading once, under its trial, with what was read in words", () => {
    const rows = sheetRows(join(DEMO, "trials.csv"));
    const groups = trialGroups(job, rows, loadTrials(DEMO, job));
    expect(groups.flatMap(({ tasks }) => tasks)).toHaveLength(rows.length);
    expect(groups.map(({ trial }) => trial)).toEqual([...new Set(rows.map(({ trial }) => trial))]);
    const texts = groups.flatMap(({ tasks }) => tasks.map(({ read }) => read));
    expect(texts[0]).toBe("45.6°");
    expect(texts.filter((text) => text === "")).toEqual([]);
  });

  it("offers every trial that the shop can cut, each as rows that can be read once they are filled in", () => {
    const choices = stationChoices(job).flatMap(({ stations }) => stations);
    expect(choices.length).toBeGreaterThan(20);
    for (const { value } of choices) {
      const file = join(folder, "free.csv");
      writeFileSync(file, freeTrial(job, value));
      const rows = sheetRows(file).map((row, i) => ({ ...row, trial: "x", id: `x-${i}` }));
      expect(rows.some(isTaken)).toBe(false);
      writeFileSync(file, tableOf(rows));
      expect(loadTrialPlan(file, job)).toHaveLength(rows.length);
    }
  });
});
