import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { parseLength } from "../../../src/core/quantity/index.js";
import { placeDrawing } from "../../../src/features/sheet/place-drawing.js";
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
import { shoulderLength } from "../../../src/model/cell/shoulder.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import type { Reading } from "../../../src/model/readings.js";

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

describe("what the page asks for", () => {
  const INSTRUMENTS = `
  angle-box: { reads: ramp, resolution: 0.1 deg, repeatability: 0.05 deg }
  rule: { reads: shoulder, resolution: 0.1 mm, repeatability: 0.05 mm }
`;
  const asked = mkdtempSync(join(tmpdir(), "sukima-asked-"));
  const yaml = readFileSync(join(DEMO, "job.yaml"), "utf8").replace(
    /^instruments:.*\n/m,
    `$&${INSTRUMENTS.slice(1)}`,
  );
  writeFileSync(join(asked, "job.yaml"), yaml);
  const shop = loadJob(asked);
  const planned = (what: "shoulder" | "ramp", subject: string, instrument: string): Reading => ({
    id: what,
    trial: what,
    setUp: null,
    bench: "none",
    subject,
    at: null,
    what,
    instrument,
    value: null,
    low: Number.NEGATIVE_INFINITY,
    high: Number.POSITIVE_INFINITY,
    round: null,
    line: 0,
    note: "",
  });

  it("names the side of a piece and its length, and a ramp with its angle, as readings of their own", () => {
    const [row] = sheetRows(join(DEMO, "trials.csv"));
    const blank = { ...row!, value: "", low: "", high: "", unit: "" };
    const readings = [planned("shoulder", "hinge-1.left", "rule"), planned("ramp", "point-45", "angle-box")];
    const [shoulder, ramp] = trialGroups(shop, [blank, blank], readings);
    expect(shoulder!.tasks[0]).toMatchObject({
      ask: "Length of the side hinge-1.left, from corner to corner",
      nominal: expect.stringMatching(/^\d\d\.\d\d mm at nominal size$/),
    });
    const cell = jobCell(shop);
    const side = cell.faces.find(({ name, kind }) => kind === "side" && name === "hinge-1.left");
    expect(shoulder!.tasks[0]!.nominal).toContain(shoulderLength(cell, side!).toFixed(2));
    expect(ramp).toMatchObject({ cut: "The jig point-45 itself; nothing is cut for it" });
    expect(ramp!.tasks[0]).toMatchObject({
      ask: "Angle of the ramp of point-45, with the box laid on the jig",
      nominal: "45° on the label",
    });
    for (const reading of readings)
      expect(String(placeDrawing(shop, reading, ""))).not.toMatch(/NaN|undefined|tip to tip/);
    expect(String(placeDrawing(shop, readings[1]!, ""))).toContain("cut on point-45");
  });
});
