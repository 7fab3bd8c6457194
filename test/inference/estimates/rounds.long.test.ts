import { describe, expect, it } from "vitest";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { cellSpecimen, errorsFrom, jobSources } from "../../../src/inference/likelihood/specimen.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import type { Job } from "../../../src/model/job/job.js";
import { sourceText } from "../../../src/render/source-text.js";
import { demoJob, demoPlan, demoTruth } from "../demo.js";

const DEGREE = Math.PI / 180;

/** The demonstration job after a shim was put in and a stop moved, with trials cut before and after. */
const moved: Job = {
  ...demoJob,
  rounds: [
    {
      name: "second",
      moves: [
        { source: { kind: "ramp", of: "point-67" }, by: 0.6 * DEGREE, priorSd: 0.04 * DEGREE },
        { source: { kind: "stop", of: "key-end" }, by: 0.2, priorSd: 0.02 },
      ],
    },
  ],
};
const twoRounds = [
  ...demoPlan,
  ...demoPlan.map((reading) => ({
    ...reading,
    id: `${reading.id}-2`,
    trial: `${reading.trial}-2`,
    round: "second",
  })),
];
const sources = jobSources(moved);
/** True sources: those of the demonstration job, and what the moves really missed by. */
const truth = (missed: Record<string, number>) =>
  Float64Array.from(sources, ({ id }, i) => missed[sourceText(id)] ?? demoTruth.sources[i] ?? 0);

describe("several rounds", () => {
  it("tie the sources before and after by the known moves", () => {
    const before = errorsFrom(cellSpecimen(moved, undefined, null), truth({}));
    const after = errorsFrom(cellSpecimen(moved, undefined, "second"), truth({}));
    for (const [i, { kind, owner, face }] of errorLayout(cellSpecimen(moved).cell).entries.entries()) {
      const point = kind === "angle" && owner.startsWith("hinge") && face!.startsWith("start");
      const keyEnd = kind === "axial" && owner.startsWith("key") && face!.startsWith("end");
      const change = point ? 0.6 * DEGREE : keyEnd ? 0.2 : 0;
      expect(after[i]! - before[i]!).toBeCloseTo(change, 12);
    }
  });

  it("are fitted together, and say where the jigs stand now", () => {
    const missed = { "move of the ramp of point-67 in second": 0.03 * DEGREE };
    const real = truth(missed);
    const readings = simulateTrials(moved, twoRounds, { truth: real, seed: 71 });
    const fit = fitSources(moved, readings);
    for (const [i, { id, estimate, standardUncertainty, contradicted }] of fit.sources.entries()) {
      const name = sourceText(id);
      expect(Math.abs(estimate - real[i]!), name).toBeLessThan(3.5 * standardUncertainty);
      expect(contradicted && id.round !== undefined, name).toBe(false);
    }
    const { current } = fit.sources.find(({ id }) => sourceText(id) === "ramp of point-67")!;
    const standing = (-0.74 + 0.6 + 0.03) * DEGREE;
    expect(Math.abs(current.estimate - standing)).toBeLessThan(3.5 * current.standardUncertainty);
    const one = fitSources(demoJob, readings.slice(0, demoPlan.length));
    expect(fit.sources[0]!.standardUncertainty).toBeLessThan(one.sources[0]!.standardUncertainty);
  });

  it("point out a move that was not made as claimed", () => {
    const missed = { "move of the ramp of point-67 in second": -1.2 * DEGREE };
    const readings = simulateTrials(moved, twoRounds, { truth: truth(missed), seed: 72 });
    const named = fitSources(moved, readings)
      .sources.filter(({ contradicted, id }) => contradicted && id.round !== undefined)
      .map(({ id }) => sourceText(id));
    expect(named).toEqual(["move of the ramp of point-67 in second"]);
  });
});

describe("what else the readings share", () => {
  it("a reference that is not square is not taken for a ramp", () => {
    const job: Job = { ...demoJob, references: [{ bench: "corner-90", priorSd: 0.3 * DEGREE }] };
    const all = jobSources(job);
    const off = Float64Array.from(all, ({ id }, i) =>
      id.kind === "reference" ? 0.4 * DEGREE : demoTruth.sources[i]!,
    );
    const readings = simulateTrials(job, demoPlan, { truth: off, seed: 73 });
    const declared = fitSources(job, readings).sources;
    const reference = declared.find(({ id }) => id.kind === "reference")!;
    expect(Math.abs(reference.estimate - 0.4 * DEGREE)).toBeLessThan(3 * reference.standardUncertainty);
    expect(Math.abs(declared[0]!.estimate - off[0]!)).toBeLessThan(3 * declared[0]!.standardUncertainty);
    const trusting = fitSources(demoJob, readings);
    expect(trusting.mode().minimum.terms.value).toBeGreaterThan(
      fitSources(job, readings).mode().minimum.terms.value + 2,
    );
  });

  it("an instrument that reads too much is corrected for", () => {
    const instruments = demoJob.instruments.map((one) =>
      one.name === "shim-strips" ? { ...one, bias: 0.015, biasPriorSd: 0.01 } : one,
    );
    const job: Job = { ...demoJob, instruments };
    const all = jobSources(job);
    const off = Float64Array.from(all, ({ id }, i) => (id.kind === "bias" ? 0.008 : demoTruth.sources[i]!));
    const readings = simulateTrials(job, demoPlan, { truth: off, seed: 74 });
    const bias = fitSources(job, readings).sources.find(({ id }) => id.kind === "bias")!;
    expect(Math.abs(bias.estimate - 0.008)).toBeLessThan(3 * bias.standardUncertainty);
    expect(bias.standardUncertainty).toBeLessThan(0.006);
  });
});

describe("gross mistakes", () => {
  const readings = simulateTrials(demoJob, demoPlan, { truth: demoTruth.sources, seed: 75 });
  const wrong = readings.map((reading) =>
    reading.id === "a31" ? { ...reading, value: reading.value! + 0.6 } : reading,
  );
  const diagonal = (job: Job, list: typeof readings) =>
    fitSources(job, list).sources.find(({ id }) => sourceText(id) === "stop of diagonal-end")!;

  it("do not move a fit that allows for them", () => {
    const guarded = { ...demoJob, mistakes: 0.05 };
    const good = diagonal(guarded, readings);
    const bad = diagonal(guarded, wrong);
    expect(Math.abs(bad.estimate - good.estimate)).toBeLessThan(2.5 * good.standardUncertainty);
  });

  it("move one that does not", () => {
    const good = diagonal(demoJob, readings);
    const bad = diagonal(demoJob, wrong);
    expect(Math.abs(bad.estimate - good.estimate)).toBeGreaterThan(5 * good.standardUncertainty);
  });
});
