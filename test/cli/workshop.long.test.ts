import { cpSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { createStream } from "../../src/core/numeric/random-stream.js";
import { batchCommand } from "../../src/features/batch/batch-report.js";
import { gaugeCommand } from "../../src/features/gauge/gauge-report.js";
import { planCommand } from "../../src/features/plan/plan-report.js";
import { recordCommand } from "../../src/features/record/record-yaml.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { loadRecord } from "../../src/io/records/load-record.js";
import { loadTrialPlan } from "../../src/io/trials/load-trials.js";
import { CAUTIONS } from "../../src/render/cautions.js";
import { inFolder } from "../io/in-folder.js";
import { userError } from "../user-error.js";

const DEMO = join(import.meta.dirname, "../../data/alcove-screen");
const silent = (): void => {};
const PLAN = { aim: "gap", trials: 2, seed: 1 } as const;
/** What a text says, however its lines are broken. */
const plain = (text: string): string => text.replace(/\s+/g, " ");

describe("sukima plan", () => {
  it("works before there is a table of trials, and writes one to fill in", () => {
    const folder = inFolder({ "job.yaml": readFileSync(join(DEMO, "job.yaml"), "utf8") });
    const out = join(folder, "next.csv");
    const text = plain(planCommand(folder, { ...PLAN, out, details: true }, silent));
    expect(text).toMatch(/Before any reading, based on the job's tolerances/);
    expect(text).toMatch(/n1: .* minutes and \d+ pieces?/);
    const rows = loadTrialPlan(out, loadJob(folder));
    expect(new Set(rows.map(({ trial }) => trial))).toEqual(new Set(["n1", "n2"]));
    expect(text).toContain(`${rows.length} rows to fill in written to ${out}`);
    for (const caution of CAUTIONS) expect(text).toContain(plain(caution));
  });

  it("prints its numbers in mm and degrees", () => {
    const { sources, trials, safety } = JSON.parse(planCommand(DEMO, { ...PLAN, json: true }, silent));
    const ramp = sources.find(({ name }: { name: string }) => name === "ramp of point-45");
    expect(ramp.unit).toBe("deg");
    // Degrees, not radians: the demonstration's angle readings leave some hundredths of a degree.
    expect(ramp.before).toBeGreaterThan(0.01);
    expect(ramp.before).toBeLessThan(0.2);
    expect(trials).toHaveLength(2);
    expect(safety.leeways).toHaveLength(7);
  });

  it("refuses a job without anything to cut or read with", () => {
    const folder = inFolder({ "job.yaml": "pattern: asanoha-square\nopening: 60\nstrip: 3\n" });
    expect(() => planCommand(folder, PLAN, silent)).toThrow(userError("command"));
    expect(() => planCommand(folder, PLAN, silent)).toThrow(/must have jigs, set-ups and instruments/);
  });
});

describe("sukima gauge", () => {
  const table = (rows: string): string => join(inFolder({ "g.csv": rows }), "g.csv");
  const two = (unit: string) =>
    `instrument,part,reader,value,unit\n${["A", "B"]
      .flatMap((reader) =>
        [1, 2, 3].flatMap((part) => [0, 1].map((k) => `c,${part},${reader},${part + 0.02 * k},${unit}`)),
      )
      .join("\n")}\n`;

  it("says what to write into the job, in its unit", () => {
    const text = plain(gaugeCommand(table(two("mm")), {}));
    // Repeats differ by 0.02: their standard deviation is 0.02/√2 = 0.0141, readers do not differ.
    expect(text).toContain("THE GAUGE c: 3 parts, 2 readers, 2 readings each");
    expect(text).toMatch(/repeatability: 0\.0\d+ mm if anyone/);
    const [study] = JSON.parse(gaugeCommand(table(two("mm")), { json: true }));
    expect(study.analysis.repeats.meanSquare).toBeCloseTo(0.02 ** 2 / 2, 12);
    expect(study.components.reproducibility.standardDeviation).toBe(0);
  });

  it("gives angles and their tolerance in degrees", () => {
    const [study] = JSON.parse(gaugeCommand(table(two("deg")), { json: true, tolerance: "0.5" }));
    expect(study.unit).toBe("deg");
    expect(study.analysis.repeats.meanSquare).toBeCloseTo(0.02 ** 2 / 2, 12);
    expect(study.shareOfTolerance).toBeCloseTo((6 * study.components.gauge.standardDeviation) / 0.5, 9);
    expect(gaugeCommand(table(two("deg")), {})).toMatch(/repeatability: 0\.0\d+ deg/);
  });

  it("names the instrument whose study cannot be used", () => {
    const lopsided = `${two("mm")}c,1,A,1,mm\n`;
    expect(() => gaugeCommand(table(lopsided), {})).toThrow(/^c: The study is not balanced/);
    expect(() => gaugeCommand(table(lopsided), {})).toThrow(userError("command"));
  });
});

describe("sukima batch", () => {
  const stream = createStream(2);
  const lengths = Array.from({ length: 30 }, (_, i) => 43.5 + 0.004 * i + 0.01 * stream.normal());
  const file = join(
    inFolder({
      "b.csv": `id,piece,length\n${lengths.map((l, i) => `h${i + 1},hinge,${l.toFixed(3)}`).join("\n")}\n`,
    }),
    "b.csv",
  );

  it("tells of a creeping stop, with the cautions", () => {
    const text = plain(batchCommand(file, {}));
    expect(text).toMatch(
      /THE BATCH: length of hinge, 30 pieces The pieces are getting longer: .*first at h\d+/,
    );
    expect(text).not.toContain("THE CHARTS");
    expect(plain(batchCommand(file, { details: true }))).toContain("THE CHARTS: length of hinge, 30 pieces");
    for (const caution of CAUTIONS) expect(text).toContain(plain(caution));
    const { batches, sizes } = JSON.parse(batchCommand(file, { json: true }));
    expect(batches[0]).toMatchObject({ piece: "hinge", verdict: "creeping", targetFrom: 8 });
    expect(batches[0].creep.slope).toBeCloseTo(0.004, 3);
    expect(sizes).toBeNull();
  });

  it("adds go and no-go sizes from a job's limits", () => {
    const text = plain(batchCommand(file, { job: DEMO, moved: true }));
    expect(text).toMatch(/GO AND NO-GO SIZES, tip to tip/);
    expect(text).toMatch(/hinge 43\.50 mm/);
  });

  it("refuses what cannot be watched", () => {
    const one = join(inFolder({ "b.csv": "length\n44\n" }), "b.csv");
    const same = join(inFolder({ "b.csv": "length\n44\n44\n" }), "b.csv");
    expect(() => batchCommand(one, {})).toThrow(/two pieces at least/);
    expect(() => batchCommand(same, {})).toThrow(/read the same/);
    expect(plain(batchCommand(same, { deviation: "0.01" }))).toContain("Steady");
  });
});

describe("sukima record", () => {
  const folder = inFolder({});
  const out = join(folder, "jigs.yaml");

  it("keeps what the readings found, and the next job starts from it", () => {
    recordCommand(DEMO, { out, seed: 1 }, silent);
    const record = loadRecord(out);
    const kept = record.ramps.get("point-45")!;
    // truth.yaml has 0.62°.
    expect(Math.abs(kept.error - (0.62 * Math.PI) / 180)).toBeLessThan(3 * kept.uncertainty);
    cpSync(join(DEMO, "job.yaml"), join(folder, "job.yaml"));
    writeFileSync(
      join(folder, "job.yaml"),
      `${readFileSync(join(DEMO, "job.yaml"), "utf8")}\nrecords: jigs.yaml\n`,
    );
    const next = loadJob(folder).jigs.find(({ name }) => name === "point-45")!;
    expect(next.priorMean).toBeCloseTo(kept.error, 9);
    expect(next.priorSd).toBeLessThan(loadJob(DEMO).jigs[0]!.priorSd / 4);
  });

  it("after the moves on the card is nearer to nothing", () => {
    const moved = join(folder, "moved.yaml");
    recordCommand(DEMO, { out: moved, moved: true, seed: 1 }, silent);
    const sizes = (file: string): number =>
      [...loadRecord(file).stops.values()].reduce((sum, { error }) => sum + Math.abs(error), 0) +
      [...loadRecord(file).ramps.values()].reduce((sum, { error }) => sum + Math.abs(error) * 10, 0);
    expect(sizes(moved)).toBeLessThan(sizes(out));
  });
});
