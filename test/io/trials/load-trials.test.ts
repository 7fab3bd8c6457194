import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrialPlan, loadTrials } from "../../../src/io/trials/load-trials.js";
import type { Reading } from "../../../src/model/readings.js";
import { FULL } from "../good-job.js";
import { HEADING, separated, TRIALS } from "../good-trials.js";
import { faultsOf, inFolder } from "../in-folder.js";

const DEGREE = Math.PI / 180;
const withoutFile = (readings: readonly Reading[]): Reading[] => readings.map(({ file: _, ...rest }) => rest);
const load = (table: string, job = FULL): Reading[] => {
  const folder = inFolder({ "job.yaml": job, "trials.csv": table });
  return withoutFile(loadTrials(folder, loadJob(folder)));
};
const readings = load(TRIALS);
const byId = (id: string): Reading => readings.find((reading) => reading.id === id)!;

describe("a table of trials", () => {
  it("gives the readings in mm and rad, with full names", () => {
    expect(readings.map(({ id, line }) => `${id} ${line}`)).toEqual(
      Array.from({ length: 13 }, (_, i) => `r${i + 1} ${i + 2}`),
    );
    expect(byId("r1")).toEqual({
      id: "r1",
      line: 2,
      trial: "d1",
      setUp: "diagonal-start",
      round: null,
      bench: "corner-90",
      what: "gap",
      subject: "point.start-left|reference-left",
      at: "widest",
      value: null,
      low: 0.05,
      high: 0.1,
      instrument: "feeler",
      note: "tight",
    });
    expect(byId("r2")).toMatchObject({
      subject: "point.start-right|reference-right",
      at: "heel",
      value: 0.045,
      low: null,
      high: null,
    });
    expect(byId("r3").subject).toBeNull();
    expect(byId("r4")).toMatchObject({ bench: "none", subject: "start-left", at: null });
    expect(byId("r4").value).toBeCloseTo(45.1 * DEGREE, 14);
    expect(byId("r5").subject).toBe("bevel.end-left|straightedge");
    expect(byId("r6")).toMatchObject({ subject: "end-right", value: expect.closeTo(22.35 * DEGREE, 14) });
    expect(byId("r7")).toMatchObject({
      setUp: null,
      round: null,
      bench: "cell",
      subject: "hinge-1.end-right|hinge-2.end-left",
    });
    expect(byId("r8")).toMatchObject({ setUp: null, round: null, subject: "hinge-1.end-left" });
    expect(byId("r9")).toMatchObject({ subject: "hinge-1", value: 44.108 });
    expect(byId("r10")).toMatchObject({ subject: "key-2", value: null, low: 2.98, high: 3.01 });
    expect(byId("r11")).toMatchObject({ subject: "hinge-2.left", setUp: null, value: 39.7 });
    expect(byId("r12").subject).toBe("hinge-1.right");
    expect(byId("r13")).toMatchObject({ subject: "bevel-22", bench: "none", setUp: null });
    expect(byId("r13").value).toBeCloseTo(22.7 * DEGREE, 14);
  });

  it("takes a joint or a cut by its name in words", () => {
    const subjectOf = (row: string): string | null => load(`${HEADING}\nr,1,${row}`)[0]!.subject;
    expect(subjectOf(",cell,Hinge-1 mitre,gap,widest,,,0.05,mm,feeler,")).toBe(
      "hinge-1.end-right|hinge-2.end-left",
    );
    expect(subjectOf(",cell,key-1 start on wall-top,gap,widest,,,0.05,mm,feeler,")).toBe(
      "key-1.start-left|wall-top",
    );
    expect(subjectOf("diagonal-start,corner-90,point tip left,gap,widest,,,0.05,mm,feeler,")).toBe(
      "point.start-left|reference-left",
    );
    expect(subjectOf(",none,hinge-1 mitre,angle,,22.6,,,deg,angle-gauge,")).toBe("hinge-1.end-right");
    expect(subjectOf("hinge-end,none,hinge-1 mitre,angle,,22.6,,,deg,angle-gauge,")).toBe("end-right");
  });

  it("leaves an end of an interval open where it is empty, and a gap's low end where it is zero", () => {
    expect(byId("r3")).toMatchObject({ low: Number.NEGATIVE_INFINITY, high: 0.05 });
    expect(byId("r5")).toMatchObject({ low: 0.05, high: Number.POSITIVE_INFINITY });
    expect(byId("r7")).toMatchObject({ low: Number.NEGATIVE_INFINITY, high: 0.05 });
    const [thin] = load(`${HEADING}\nr,1,,none,key,thickness,,,0,3,mm,caliper,\n`);
    expect(thin).toMatchObject({ low: 0, high: 3 });
  });

  it("is found by its folder, by the job file in it, or by its own name", () => {
    const folder = inFolder({ "job.yaml": FULL, "trials.csv": TRIALS });
    const job = loadJob(folder);
    for (const path of [folder, join(folder, "job.yaml"), join(folder, "trials.csv")]) {
      expect(withoutFile(loadTrials(path, job))).toEqual(readings);
      // Each reading knows its table, so that a refusal can name file and row.
      expect(loadTrials(path, job)[0]?.file).toBe(join(folder, "trials.csv"));
    }
  });

  it("takes the job's unit, the row's, or that of the number itself", () => {
    const row = (value: string, unit: string) =>
      `${HEADING}\nr,1,,none,key,length,,${value},,,${unit},caliper,\n`;
    const inches =
      "pattern: asanoha-square\nunits: in\nopening: 2 3/8\nstrip: 1/8\ninstruments: { caliper: { reads: length, resolution: 0.0005 } }\n";
    expect(load(row("0.96", ""), inches)[0]!.value).toBe(24.384);
    expect(load(row("24.4", "mm"), inches)[0]!.value).toBe(24.4);
    expect(load(row("24.4 mm", "in"), inches)[0]!.value).toBe(24.4);
    expect(load(row("960", "thou"))[0]!.value).toBe(24.384);
    expect(load(row('"15/16"""', ""))[0]!.value).toBe(23.8125);
    expect(load(row('15/16"', "mm"))[0]!.value).toBe(23.8125);
    expect(load(row("2.44e1", "MM"))[0]!.value).toBe(24.4);
    const angle = `${HEADING}\nr,1,,none,key-1.end-left,angle,,45°6',,,,angle-gauge,\n`;
    expect(load(angle)[0]!.value).toBeCloseTo(45.1 * DEGREE, 14);
  });

  it("takes the only place that an instrument reaches", () => {
    expect(load(TRIALS.replace("start-left,gap,widest", "start-left,gap,"))).toEqual(readings);
  });

  it("may have a heading and no rows", () => {
    expect(load(`${HEADING}\n`)).toEqual([]);
  });
});

/** Each is the same table in another dialect. */
const DIALECTS: Record<string, string> = {
  "semicolons and decimal commas": separated(TRIALS, ";", true),
  semicolons: separated(TRIALS, ";"),
  tabs: separated(TRIALS, "\t"),
  "tabs and decimal commas": separated(TRIALS.replace("44.108", "44.1080"), "\t", true),
  "a byte order mark": `\uFEFF${TRIALS}`,
  "line ends of Windows": TRIALS.replaceAll("\n", "\r\n"),
  "line ends of old": TRIALS.replaceAll("\n", "\r"),
  "spaces about the cells": TRIALS.replaceAll(",", " , ").replaceAll("\n", "  \n"),
  "capital letters": TRIALS.replaceAll(
    /^id.*$|gap|angle|widest|heel|corner-90|none|\bmm\b|deg|start-left|key-2/gm,
    (word) => word.toUpperCase(),
  ).replaceAll("ANGLE-gauge", "Angle-Gauge"),
  "spaces in headings": TRIALS.replace("set-up", "Set up"),
  "quotation marks everywhere": TRIALS.replaceAll(/[^,\n]+/g, '"$&"'),
  "separators left over at the ends": TRIALS.replaceAll("\n", ",,\n"),
  "rows of nothing": `${TRIALS},,,,,,,,,,,,\n\n`,
  "empty lines above and between": `\n\n${TRIALS.replaceAll("\n", "\n\n  \n")}`,
  "columns in another order": TRIALS.split("\n")
    .map((line) => line.split(",").reverse().join(","))
    .join("\n"),
};

describe("the same table", () => {
  it.each(Object.keys(DIALECTS))("with %s gives the same readings", (dialect) => {
    const table = DIALECTS[dialect]!;
    expect(table).not.toBe(TRIALS);
    const withoutLine = (all: readonly Reading[]) => all.map(({ line: _, ...rest }) => rest);
    expect(withoutLine(load(table))).toEqual(withoutLine(readings));
  });

  it("without a decimal comma's semicolons is refused, with the reason", () => {
    const faults = faultsOf(() => load(TRIALS.replace("0.045", "0,045")));
    expect(faults).toMatchObject([{ line: 3, column: 0 }]);
    expect(faults[0]!.sentence).toMatch(/14 entries.*13 columns.*decimal comma counts as two/);
  });

  it("keeps count of lines past a note of several lines and empty lines", () => {
    const table = TRIALS.replace("tight", '"tight,\nread twice\nby two"').replace(
      "nothing goes in\n",
      "\n\n\n",
    );
    const lines = load(table).map(({ line }) => line);
    expect(lines).toEqual([2, 5, 6, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18]);
    expect(load(table)[0]!.note).toBe("tight,\nread twice\nby two");
  });
});

describe("a plan of readings to be taken", () => {
  it("may leave out what was read", () => {
    const plan = TRIALS.replace(",0.05,0.1,", ",,,");
    const folder = inFolder({ "job.yaml": FULL, "plan.csv": plan });
    const [first, second] = withoutFile(loadTrialPlan(join(folder, "plan.csv"), loadJob(folder)));
    expect(first).toMatchObject({
      value: null,
      low: Number.NEGATIVE_INFINITY,
      high: Number.POSITIVE_INFINITY,
    });
    expect(second).toEqual(byId("r2"));
    expect(faultsOf(() => load(plan))).toHaveLength(1);
  });
});
