import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { batchCommand } from "../../../src/features/batch/batch-report.js";
import { judgeBatch, sizesOf } from "../../../src/features/batch/batch-verdict.js";
import { watchBatch } from "../../../src/features/batch/watch-batch.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { inFolder } from "../../io/in-folder.js";

const job = loadJob("data/alcove-screen");
const sizes = { kind: "key", nominal: 24.34, noGo: 24.3, go: 24.36, master: 24.33, allowance: 0.03 };
/** Alternating about a mean: a spread and no drift. */
const about = (mean: number, n = 12): number[] =>
  Array.from({ length: n }, (_, i) => mean + (i % 2 ? 0.005 : -0.005));
const plain = (text: string): string => text.replace(/\s+/g, " ");

describe("a batch", () => {
  it("passes when it is steady and every piece is between its two sizes", () => {
    const judged = judgeBatch(watchBatch(about(24.34)), job, sizes);
    expect(judged).toMatchObject({
      passes: true,
      tooLong: [],
      tooShort: [],
      wanted: 24.34,
      stops: ["key-end"],
    });
    expect(judged.off?.mean).toBeCloseTo(0, 12);
  });

  it("does not pass with a piece on either side, and says which", () => {
    const values = about(24.34).with(3, 24.37).with(7, 24.29);
    expect(judgeBatch(watchBatch(values), job, sizes)).toMatchObject({
      passes: false,
      tooLong: [3],
      tooShort: [7],
    });
  });

  it("does not pass while its stop creeps, between the sizes though every piece be", () => {
    const creeping = Array.from({ length: 24 }, (_, i) => 24.32 + 0.001 * i + (i % 2 ? 0.0008 : -0.0008));
    const judged = judgeBatch(watchBatch(creeping), job, sizes);
    expect(judged).toMatchObject({ passes: false, tooLong: [], tooShort: [] });
  });

  it("has its mean compared with what it should be: 2·s/√n about the difference", () => {
    const watch = watchBatch(about(24.35));
    const { off } = judgeBatch(watch, job, sizes);
    expect(off?.mean).toBeCloseTo(0.01, 9);
    expect(off?.U).toBeCloseTo((2 * watch.individuals.standardDeviation) / Math.sqrt(12), 12);
  });

  it("names both stops of a piece whose far end has two cuts", () => {
    expect(judgeBatch(watchBatch(about(43.5)), job, { ...sizes, kind: "hinge" }).stops).toEqual([
      "hinge-mitre",
      "hinge-seat",
    ]);
  });

  it("is not judged when nothing says what the pieces should be", () => {
    expect(judgeBatch(watchBatch(about(24.34)), null, null)).toMatchObject({
      passes: null,
      wanted: null,
      off: null,
    });
  });

  it("finds the sizes of hinge-1 under hinge", () => {
    const all = { pieces: [sizes, { ...sizes, kind: "hinge" }], ...SIZED };
    expect(sizesOf(all, "hinge-1")?.kind).toBe("hinge");
    expect(sizesOf(all, "")).toBeNull();
    expect(sizesOf(all, "diagonal")).toBeNull();
  });
});

const SIZED = { fromReadings: false, closesAtNominal: 1, closesAtWorst: 1 };

describe("sukima batch", () => {
  const rows = about(24.34).map((mm) => `key,${(mm / 25.4).toFixed(4)},in`);
  const file = join(inFolder({ "b.csv": `piece,length,unit\n${rows.join("\n")}\n` }), "b.csv");

  it("begins with the verdict, how far the mean is off and the stop that does it", () => {
    const text = plain(batchCommand(file, { job: "data/alcove-screen", withoutReadings: true }));
    expect(text).toMatch(
      /^Based on what the job states; no readings; jigs and stops as they stand\. THE BATCH: length of key, 12 pieces (PASSES|DOES NOT PASS)/,
    );
    expect(text).toContain("GO AND NO-GO SIZES");
    expect(text).not.toContain("THE CHARTS");
  });

  it("gives no sizes where the readings say that right lengths would not help, and gives them for the jigs as moved", () => {
    const asTheyStand = plain(batchCommand(file, { job: "data/alcove-screen" }));
    expect(asTheyStand).toMatch(/^Based on 58 readings of 10 trial pieces; jigs and stops as they stand\./);
    expect(asTheyStand).toMatch(/No GO and NO-GO sizes: .* under 1 % of the cells|only 0 % of the cells/);
    expect(asTheyStand).not.toContain("GO AND NO-GO SIZES");
    const moved = JSON.parse(batchCommand(file, { job: "data/alcove-screen", moved: true, json: true }));
    expect(moved.jigs).toBe("after the moves");
    expect(moved.sizes.fromReadings).toBe(true);
    expect(moved.sizes.closesAtNominal).toBeGreaterThan(0.9);
    expect(() => batchCommand(file, { moved: true })).toThrow(/goes with --job only/);
  });

  it("takes a target and a deviation in the table's unit or with their own", () => {
    const inInches = JSON.parse(batchCommand(file, { json: true, target: "0.958", deviation: "0.5 thou" }));
    expect(inInches.batches[0].target).toBeCloseTo(0.958 * 25.4, 9);
    expect(inInches.batches[0].individuals.standardDeviation).toBeCloseTo(0.0127, 9);
    expect(plain(batchCommand(file, { target: "0.95" }))).toMatch(/DOES NOT PASS.* longer than 0\.9500 in\./);
    expect(plain(batchCommand(file, { target: "0.95" }))).not.toMatch(/\bmm\b/);
  });
});
