import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import {
  type Fault,
  hiddenFaults,
  makeMystery,
  truthOf,
} from "../../../src/features/mystery/make-mystery.js";
import { markAnswer, readAnswer } from "../../../src/features/mystery/mark-answer.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { sameSource, sourceKey } from "../../../src/model/source-id.js";
import { sourceText } from "../../../src/render/source-text.js";

const root = mkdtempSync(join(tmpdir(), "sukima-mystery-"));
afterAll(() => rmSync(root, { recursive: true, force: true }));
const folder = (name: string): string => join(root, name);

describe("hidden faults", () => {
  it("are as many as asked for, of different sources, large enough to matter, and the same each time", () => {
    for (let seed = 0; seed < 200; seed++) {
      for (const faults of [1, 2, 3]) {
        const hidden = hiddenFaults({ seed, faults });
        expect(new Set(hidden.map(({ source }) => sourceKey(source))).size).toBe(faults);
        for (const { source, size } of hidden) {
          const trusted =
            source.kind === "ramp" ? (0.5 * Math.PI) / 180 : source.kind === "stop" ? 0.15 : 0.05;
          expect(Math.abs(size) / trusted).toBeGreaterThanOrEqual(0.99);
          expect(Math.abs(size) / trusted).toBeLessThanOrEqual(2.6);
        }
      }
    }
    expect(hiddenFaults({ seed: 5, faults: 2 })).toEqual(hiddenFaults({ seed: 5, faults: 2 }));
  });

  it("fall on every source and both ways", () => {
    const all = Array.from({ length: 100 }, (_, seed) => hiddenFaults({ seed, faults: 2 })).flat();
    expect(new Set(all.map(({ source }) => sourceKey(source))).size).toBe(8);
    const longer = all.filter(({ size }) => size > 0).length;
    // 200 tosses: within 5 standard deviations of half.
    expect(Math.abs(longer - 100)).toBeLessThan(36);
  });
});

describe("a mystery's folder", () => {
  const key = { seed: 21, faults: 2 };
  const made = makeMystery(folder("a"), key);

  it("is the same for the same seed, and its readings are of a shop with the hidden faults", () => {
    const again = makeMystery(folder("b"), key);
    expect(again.readings).toEqual(made.readings);
    expect(makeMystery(folder("c"), { ...key, seed: 22 }).readings).not.toEqual(made.readings);
    const truth = truthOf(made.job, hiddenFaults(key));
    expect(truth.filter((size) => size !== 0)).toHaveLength(2);
    expect(truth).toHaveLength(jobSources(made.job).length);
  });

  it("does not show the truth at a glance", () => {
    const sizes = hiddenFaults(key).map(({ source, size }) =>
      (source.kind === "ramp" ? (size * 180) / Math.PI : size).toFixed(2),
    );
    for (const name of readdirSync(folder("a"))) {
      const text = readFileSync(join(folder("a"), name), "utf8");
      for (const size of sizes) expect(text, name).not.toContain(size.replace("-", ""));
    }
  });

  // Whoever answers with the truth has every point that the readings allow; whoever answers with nothing has none.
  it.each([21, 33])("gives the truth full marks, and nothing for nothing (seed %i)", (seed) => {
    const { job, readings } = makeMystery(folder(`m${seed}`), { seed, faults: 2 });
    const { sources } = fitSources(job, readings);
    const truth = hiddenFaults({ seed, faults: 2 });
    const best = markAnswer(sources, truth, truth);
    expect(best.points).toBe(best.of);
    expect(best.of).toBeGreaterThanOrEqual(2);
    const read: Fault[] = sources.map(({ id, estimate }) => ({ source: id, size: estimate }));
    const named = read.filter(({ source }) => truth.some((fault) => sameSource(fault.source, source)));
    expect(markAnswer(sources, truth, named).points).toBe(best.of);
    expect(markAnswer(sources, truth, []).points).toBe(0);
  });

  it("refuses a seed or a number of faults that there is none of", () => {
    expect(() => makeMystery(folder("x"), { seed: -1, faults: 2 })).toThrow("whole number from 0");
    expect(() => makeMystery(folder("x"), { seed: 1, faults: 9 })).toThrow("1 to 3 faults");
  });
});

describe("an answer", () => {
  const sources = jobSources(makeMystery(folder("q"), { seed: 3, faults: 1 }).job);
  const answer = (text: string) => {
    const file = folder("answer.yaml");
    writeFileSync(file, text);
    return () => readAnswer(file, sources);
  };

  it("is a list of causes with sizes, bare ones in degrees and mm", () => {
    const said = answer(`answer:
  - { cause: ramp of point-45, size: 0.5 }
  - { cause: stop of key-end, size: -0.1 mm }
  - { cause: thickness of the batch, size: 2 thou }
`)();
    expect(said.faults.map(({ source }) => sourceText(source))).toEqual([
      "ramp of point-45",
      "stop of key-end",
      "thickness of the batch",
    ]);
    expect(said.faults[0]!.size).toBeCloseTo((0.5 * Math.PI) / 180, 12);
    expect(said.faults[1]!.size).toBeCloseTo(-0.1, 12);
    expect(said.faults[2]!.size).toBeCloseTo(0.0508, 12);
  });

  it("may be empty, as the blank one is", () => {
    const none = { name: "", faults: [] };
    expect(readAnswer(join(folder("q"), "answer.yaml"), sources)).toEqual(none);
    expect(answer("answer:\n")()).toEqual(none);
    expect(answer("name: Ada\nanswer:\n")()).toEqual({ name: "Ada", faults: [] });
  });

  it.each([
    ["answer: [", /answer\.yaml, line \d/],
    ["reply: []", /line 1, column 1: reply\n.*“reply” is not known here/],
    ["answer: [{ cause: ramp of point-45 }]", /line 1, column \d+: answer\.0\.size/],
    ["answer: [{ cause: ramp of point-54, size: 1 }]", /no such cause; did you mean ramp of point-45\?/],
    ["answer: [{ cause: ramp of point-45, size: 2 mm }]", /answer\.0\.size\n.*“mm” is a unit of length/],
    [
      "answer: [{ cause: stop of key-end, size: 1 }, { cause: stop of key-end, size: 1 }]",
      /answer\.1\.cause\n.*it is named twice/,
    ],
  ])("is refused when it is %s", (text, message) => {
    expect(answer(text)).toThrow(message);
  });
});
