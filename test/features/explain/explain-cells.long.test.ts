import { describe, expect, it } from "vitest";
import type { Check } from "../../../src/features/explain/candidate-checks.js";
import { printedChance } from "../../../src/features/explain/cause-sentences.js";
import { explainCells } from "../../../src/features/explain/explain-cells.js";
import { answerLines, explanationText } from "../../../src/features/explain/explanation-text.js";
import { nextCheck, nextReadingsOf } from "../../../src/features/explain/next-check.js";
import { seenByEye, withEye } from "../../../src/features/explain/seen-by-eye.js";
import { readingName } from "../../../src/features/plan/index.js";
import { calibrateJob } from "../../../src/inference/calibrate-job.js";
import { type NamedReading, nextReadings } from "../../../src/inference/design/next-readings.js";
import type { Reading } from "../../../src/model/readings.js";
import { sourceText } from "../../../src/render/source-text.js";
import { angleReading, DEGREE } from "../../inference/angle-readings.js";
import { demoReadings } from "../../inference/demo.js";
import { cellWith, job, specimen } from "./invented-cell.js";

/** The 67.5° ramp is 0.8° blunt: two angles of 66.7° and twenty gaps of a cell. */
const blunt: Reading[] = [
  ...cellWith("ramp of point-67", -1.6, { seed: 3 }).slice(0, 20),
  angleReading("w1", 66.7 * DEGREE),
  angleReading("w2", 66.7 * DEGREE),
];

describe("an explanation of a blunt ramp, of which two angles were read as well", () => {
  const explanation = explainCells(job, blunt);
  const ramp = explanation.sources.find(({ id }) => sourceText(id) === "ramp of point-67")!;

  it("says blunter, by about 0.8°, and that it matters", () => {
    expect(ramp.sign).toBe(-1);
    expect(Math.abs(ramp.estimate / DEGREE + 0.8)).toBeLessThan(0.1);
    expect(ramp.chance.value).toBeGreaterThan(0.97);
    expect(explanationText(explanation)).toContain("cuts a blunter point than its label");
    expect(explanationText(explanation)).not.toContain("point-67 cuts a sharper point");
  });

  it("gives every source as the calibration does", () => {
    const { fit } = calibrateJob(job, blunt, { draws: 100 });
    for (const source of explanation.sources) {
      const calibrated = fit.sources.find(({ id }) => sourceText(id) === sourceText(source.id))!;
      expect(source.estimate).toBe(calibrated.estimate);
      expect(source.interval).toEqual(calibrated.interval);
    }
  });

  it("shares out every gap to rounding", () => {
    const joints = explanation.cells.flatMap((cell) => cell.joints);
    expect(joints.length).toBeGreaterThan(4);
    for (const { gap, asDrawn, contributions } of joints) {
      const sum = contributions.reduce((total, { mean }) => total + mean, asDrawn);
      expect(Math.abs(sum - gap.mean)).toBeLessThan(1e-12);
    }
  });

  it("needs the ramp put right, by as much as it is off, to close the cell", () => {
    const [cell] = explanation.cells;
    const remedy = cell!.closing!.remedies.find(({ id }) => sourceText(id as never) === "ramp of point-67")!;
    expect(remedy.by).toBe(-ramp.estimate);
    expect(cell!.closing!.after.press).toBeLessThan(cell!.closing!.before.press - 0.01);
  });

  it("answers in at most fifteen lines", () => {
    const [answer = ""] = explanationText(explanation).split("\n\nTAKE CARE");
    expect(answer.split("\n").length).toBeLessThanOrEqual(15);
  });

  it("tells no stories, for not only cells were read", () => {
    expect(explanation.stories).toBeNull();
  });
});

describe("an explanation of a cell alone, a key cut short", () => {
  const readings = cellWith("stop of key-end", -1.2, { seed: 106 });
  const explanation = explainCells(job, readings);

  it("tells stories whose chances add up to 1, a short key and a deep seat among the first three", () => {
    const stories = explanation.stories!;
    expect(stories.reduce((sum, { chance }) => sum + chance.value, 0)).toBeCloseTo(1, 9);
    const first = stories
      .slice(0, 3)
      .map(({ causes }) => causes.map(({ id, size }) => `${sourceText(id)} ${Math.sign(size)}`).join());
    expect(first).toContain("stop of key-end -1");
    expect(first).toContain("stop of hinge-seat -1");
  });

  it("prints a chance only where it is known to two points", () => {
    const lines = answerLines(explanation, null);
    for (const [k, { chance }] of explanation.stories!.slice(0, 3).entries()) {
      const text = printedChance(chance);
      expect(text === null).toBe(chance.samplingError > 0.02);
      const told = lines.find((line) => line.startsWith(`${k + 1}. `));
      expect(told).toBeDefined();
      expect(told?.includes("(chance ")).toBe(text !== null);
    }
    expect(lines.join("\n")).toContain("Move nothing");
  });

  it("asks for what the card asks for first, in its words, and says what it tells of the two likeliest stories", () => {
    const named = namedByCard(readings);
    const next = nextCheck(explanation)!;
    expect(next.why).toBe("moves");
    expect(nextReadingsOf(next).map(place)).toEqual(named[0]!.reading.readings.map(place));
    expect(next.stories?.stories).toEqual(explanation.stories?.slice(0, 2));
    const text = explanationText(explanation).replaceAll(/\s+/g, " ");
    expect(text).toContain(readingName(named[0]!.reading, explanation.job));
  });
});

it("asks for nothing where the card asks for nothing", () => {
  expect(namedByCard(demoReadings)).toEqual([]);
  const explanation = explainCells(job, demoReadings);
  expect(nextCheck(explanation)).toBeNull();
  expect(explanationText(explanation)).not.toMatch(/Read (?:next|this)/);
});

/** The readings that the card of these readings names, those to be taken before a move first. */
function namedByCard(readings: readonly Reading[]): readonly NamedReading[] {
  const { fit, decision } = calibrateJob(job, readings, { draws: 100 });
  const { beforeMoving, whenConvenient } = nextReadings(job, fit, decision, 1);
  return [...beforeMoving, ...whenConvenient];
}

const place = ({ setUp, bench, what, subject, at, instrument }: Check) => ({
  setUp,
  bench,
  what,
  subject,
  at,
  instrument,
});

it("gives what an eye saw to the cell it was seen in: two joints make no second cell", () => {
  const saw = seenByEye(
    job,
    specimen.cell,
    [
      { joint: "key-2.end-left", at: "widest", seen: "closed" },
      { joint: "hinge-4.start-left", at: "toe", seen: "open" },
    ],
    { trial: "c2", round: null },
  );
  const { cells } = explainCells(withEye(job), [...demoReadings, ...saw]);
  expect(cells.map(({ cell }) => cell.trial)).toEqual(["c1", "c2"]);
  expect(cells[1]!.cell.readings.length).toBe(cells[0]!.cell.readings.length + 2);
});

it("refuses to explain a table without a cell", () => {
  expect(() => explainCells(job, [])).toThrow("an explanation needs gaps read in an assembled cell");
});
