import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { isUserError } from "../../src/core/errors.js";
import { createStream } from "../../src/core/numeric/random-stream.js";
import { calibrateJob } from "../../src/inference/calibrate-job.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { shippedPatterns } from "../../src/io/patterns/find-pattern.js";
import { loadTrials } from "../../src/io/trials/load-trials.js";
import { jobCell } from "../../src/model/job/job-cell.js";
import { predictCell } from "../../src/physics/predict/predict-cell.js";
import { sourceText } from "../../src/render/source-text.js";
import { LARGE, ORDINARY, randomErrors } from "../checks/validate/cells.js";
import { demoJob } from "../inference/demo.js";
import { inFolder } from "../io/in-folder.js";

/** The value, or `null` for a refusal with a reason. */
function orRefused<T>(work: () => T): T | null {
  try {
    return work();
  } catch (error) {
    const { name, message } = error as Error;
    // Anything else is a fault of ours.
    expect(
      isUserError(error, "job", "cell", "cutting-error", "seating", "command"),
      `${name}: ${message}`,
    ).toBe(true);
    expect(message).toMatch(/[.:]\s|\.$/);
    return null;
  }
}

/*
 * Stated ranges: openings from 8 to 600 mm and strips from 1 to 20 mm, both drawn evenly in their logarithm (seed 5), all shipped patterns; errors normal,
 * 0.25° and 0.025 mm for most, 1° and 0.1 mm for one in four.
 */
describe("cells of any size", () => {
  it("close with finite gaps, or are refused with a reason", () => {
    const random = createStream(5);
    const between = (low: number, high: number): number => low * (high / low) ** random.uniform();
    const tally = { cells: 0, noJob: 0, rested: 0, refused: 0 };
    for (let i = 0; i < 300; i++) {
      const pattern = shippedPatterns()[i % shippedPatterns().length]!;
      const text = `pattern: ${pattern}\nopening: ${between(8, 600)}\nstrip: ${between(1, 20)}\n`;
      const cell = orRefused(() => jobCell(loadJob(inFolder({ "job.yaml": text }))));
      if (cell === null) {
        tally.noJob++;
        continue;
      }
      tally.cells++;
      const errors = randomErrors(cell, random, i % 4 === 3 ? LARGE : ORDINARY);
      const found = orRefused(() => predictCell(cell, errors));
      if (found === null) {
        tally.refused++;
        continue;
      }
      tally.rested++;
      for (const value of [
        found.widestGap,
        found.deepestPress,
        found.openArea,
        ...found.probes.map(({ gap }) => gap),
      ])
        expect(Number.isFinite(value), text).toBe(true);
    }
    expect(tally.cells).toBeGreaterThan(200);
    expect(tally.rested).toBeGreaterThan(0.9 * tally.cells);
  });
});

const HEADING = "id,trial,set-up,bench,joint,what,at,value,low,high,unit,instrument,note";
const angle = (id: string, trial: string, value: number): string =>
  `${id},${trial},diagonal-start,none,start-left,angle,,${value},,,deg,angle-gauge,`;
const gap = (id: string, trial: string, low: string, high: string): string =>
  `${id},${trial},diagonal-start,corner-90,start-left,gap,widest,,${low},${high},mm,feeler,`;

describe("readings that tell little, nothing, or too much", () => {
  it.each([
    ["one reading", [angle("a", "t", 45.2)]],
    ["the same reading 20 times", Array.from({ length: 20 }, (_, i) => angle(`a${i}`, `t${i}`, 45.2))],
    [
      "readings that contradict each other",
      Array.from({ length: 8 }, (_, i) => angle(`a${i}`, `t${i}`, i % 2 === 0 ? 41 : 49)),
    ],
    ["all joints closed", Array.from({ length: 12 }, (_, i) => gap(`g${i}`, `t${i}`, "", "0.05"))],
    ["nothing but the widest leaf", Array.from({ length: 2 }, (_, i) => gap(`g${i}`, `t${i}`, "0.5", ""))],
  ])("%s: a finite fit, no surer than the readings allow", { timeout: 600_000 }, (_, rows) => {
    const folder = inFolder({ "trials.csv": `${[HEADING, ...rows].join("\n")}\n` });
    const readings = loadTrials(join(folder, "trials.csv"), demoJob);
    const made = orRefused(() => calibrateJob(demoJob, readings, { seed: 1 }));
    // Readings that no such shop can have given are refused.
    if (made === null) return;
    const { fit } = made;
    for (const { estimate, standardUncertainty, interval, learned } of fit.sources) {
      for (const value of [estimate, standardUncertainty, ...interval, learned])
        expect(Number.isFinite(value)).toBe(true);
      expect(standardUncertainty).toBeGreaterThan(0);
      expect(interval[0]).toBeLessThan(interval[1]);
    }
    // What these readings do not touch stays as unsure as it was.
    const other = fit.sources.find(({ id }) => sourceText(id) === "stop of key-end")!;
    expect(other.learned).toBeLessThan(0.1);
  });
});
