import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { unidentifiedSigns } from "../../../src/features/explain/best-check.js";
import { explainCells } from "../../../src/features/explain/explain-cells.js";
import { explanationJson } from "../../../src/features/explain/explain-report.js";
import { explanationText } from "../../../src/features/explain/explanation-text.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import type { PanelSide } from "../../../src/model/cell/cell.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Reading } from "../../../src/model/readings.js";
import { sourceText } from "../../../src/render/source-text.js";

const DEGREE = Math.PI / 180;
const LEAN = "lean of bevel-22";
const leaning = loadJob(resolve(import.meta.dirname, "../../../data/leaning-ramp"));
/** Nothing known of the lean beforehand. */
const job: Job = {
  ...leaning,
  jigs: leaning.jigs.map((jig) =>
    jig.name === "bevel-22" ? { ...jig, lean: { priorMean: 0, priorSd: 0.3 * DEGREE, rolled: false } } : jig,
  ),
};
/** In truth outward at the back. */
const truth = Float64Array.from(jobSources(job), ({ id }) => (sourceText(id) === LEAN ? -0.5 * DEGREE : 0));

const gap = (id: string, subject: string, side?: PanelSide): Reading => ({
  ...{
    id,
    line: 0,
    trial: "c1",
    setUp: null,
    round: null,
    bench: "cell",
    what: "gap",
    subject,
    at: "widest",
  },
  ...{ value: null, low: 0, high: 1, instrument: "shim-strips", note: "" },
  ...(side ? { side } : {}),
});
const MITRE = "hinge-1.end-right|hinge-2.end-left";
const JOINTS = [MITRE, "hinge-3.end-left|hinge-4.end-right", "key-1.end-right|hinge-1.end-left"];
const explained = (side?: PanelSide) =>
  explainCells(
    job,
    simulateTrials(
      job,
      JOINTS.map((joint, i) => gap(`c${i}`, joint, i === 0 ? side : undefined)),
      { truth, seed: 9 },
    ),
    { severalOdds: 0 },
  );
const plain = (text: string): string => text.replaceAll(/\s+/g, " ");

describe("a lean as the cause of gaps read at their wider side", () => {
  const explanation = explained();
  const [found, ...others] = unidentifiedSigns(explanation);

  it("may have either sign, at the true size", () => {
    expect(others).toEqual([]);
    expect(sourceText(found!.cause.id)).toBe(LEAN);
    expect(found!.size.size * found!.size.other!).toBeLessThan(0);
    for (const size of [found!.size.size, found!.size.other!])
      expect(Math.abs(Math.abs(size) / DEGREE - 0.5)).toBeLessThan(0.15);
  });

  it("is told by a reading at one side: open there one way, closed the other", () => {
    const { check, bits, foreseen } = found!.check!;
    expect(check.side).toBeDefined();
    expect(bits).toBeGreaterThan(0.9);
    const [above, below] = foreseen.map(([, middle]) => middle);
    const atFront = check.side === "front";
    expect(atFront ? below! - above! : above! - below!).toBeGreaterThan(0.05);
  });

  it("is said in words and as data", () => {
    const text = plain(explanationText(explanation));
    expect(text).toMatch(
      /how far the ramp of bevel-22 may lean but not which way: [+−]0\.\d+° or [+−]0\.\d+°/,
    );
    expect(text).toMatch(
      /To tell which way, before you square the ramp: .* at the (front|back) with shim-strips\./,
    );
    const { hypotheses } = explanationJson(explanation) as {
      hypotheses: { hypothesis: string; sizes: { size: number; other: number | null }[] }[];
    };
    const [size] = hypotheses.find(({ hypothesis }) => hypothesis === LEAN)!.sizes;
    expect(size!.size * size!.other!).toBeLessThan(0);
  });
});

describe("a lean with one gap read at its side", () => {
  it.each(["front", "back"] as const)("%s has one sign, the true one", (side) => {
    const explanation = explained(side);
    expect(unidentifiedSigns(explanation)).toEqual([]);
    const { sizes } = explanation.hypotheses.find(
      ({ causes }) => causes.length === 1 && sourceText(causes[0]!.id) === LEAN,
    )!;
    expect(sizes[0]!.size).toBeLessThan(0);
    expect(sizes[0]!.thatSide).toBeGreaterThan(0.99);
    expect(explanationText(explanation)).not.toContain("which way");
  });
});
