import { describe, expect, it } from "vitest";
import { DEGREE } from "../../../src/core/geometry.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { readValues } from "../../../src/inference/likelihood/read-specimen.js";
import { cellSpecimen, jobSources } from "../../../src/inference/likelihood/specimen.js";
import { errorLayout, noErrors } from "../../../src/model/cell/cell-errors.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Instrument, Reading, ReadQuantity } from "../../../src/model/readings.js";
import { indexOfSource } from "../../../src/model/sources.js";
import { longIt } from "../../tools/longer.js";
import { demoJob } from "../demo.js";

const BOX: Instrument = {
  name: "angle-box",
  reads: ["ramp"],
  reach: [],
  resolution: 0.1 * DEGREE,
  repeatability: 0.05 * DEGREE,
  bias: 0,
  biasPriorSd: 0,
  leaves: [],
};
const SCALE: Instrument = {
  name: "scale",
  reads: ["length", "shoulder"],
  reach: [],
  resolution: 0.01,
  repeatability: 0.01,
  bias: 0,
  biasPriorSd: 0,
  leaves: [],
};
const job: Job = { ...demoJob, instruments: [...demoJob.instruments, BOX, SCALE] };

const reading = (what: ReadQuantity, subject: string, trial = "1"): Reading => ({
  id: `${trial} ${what} ${subject}`,
  line: 0,
  trial,
  setUp: null,
  bench: "none",
  round: null,
  what,
  subject,
  at: null,
  value: 0,
  low: null,
  high: null,
  note: "",
  instrument: what === "ramp" ? BOX.name : SCALE.name,
});

/** Length of a side by hand: at each end, the distance from the origin at which the cut that faces it leaves y = ± (t + dt)/2. */
function sideByHand(name: string, errors: Float64Array): number {
  const { cell } = cellSpecimen(job);
  const { indexOf } = errorLayout(cell);
  const [owner = "", side] = name.split(".");
  const piece = cell.pieces.find((one) => one.name === owner)!;
  const half = (cell.strip + errors[indexOf("thickness", owner)]!) / 2;
  return piece.cuts
    .filter(({ face }) => face.endsWith(side!))
    .reduce((sum, { face, jigAngle, reach }) => {
      const angle = jigAngle + errors[indexOf("angle", owner, face)]!;
      return sum + reach + errors[indexOf("axial", owner, face)]! - half * Math.tan(angle);
    }, 0);
}

describe("a shoulder length", () => {
  const { cell, reader } = cellSpecimen(job);
  const sides = cell.pieces.flatMap(({ name }) => [`${name}.left`, `${name}.right`]);

  it.each(sides)("of %s is that of the side, and its slopes are those of the side", (side) => {
    const { nominal, slopes } = reader.linear(reading("shoulder", side), job);
    expect(nominal).toBeCloseTo(sideByHand(side, noErrors(cell)), 9);
    for (const [e, slope] of slopes.entries()) {
      const step = 1e-6;
      const [up, down] = [step, -step].map((by) => sideByHand(side, noErrors(cell).with(e, by)));
      expect(slope).toBeCloseTo((up! - down!) / (2 * step), 6);
    }
  });

  it("is the hand's: a key of 45/45 points at both ends is its strip shorter than tip to tip", () => {
    const { length } = cell.pieces.find(({ name }) => name === "key-1")!;
    const [value] = readValues(reader, noErrors(cell), [reading("shoulder", "key-1.left")], job);
    // Each 45° cut leaves the side half a strip before the tip.
    expect(value).toBeCloseTo(length - cell.strip, 9);
  });

  longIt("parts the mitre's stop from the seat's, which the length tip to tip cannot", () => {
    const sources = jobSources(job);
    const [mitre, seat] = ["hinge-mitre", "hinge-seat"].map((of) =>
      indexOfSource(sources, { kind: "stop", of }),
    );
    const truth = new Float64Array(sources.length);
    truth[mitre!] = 0.12;
    truth[seat!] = -0.08;
    const hinges = ["1", "2", "3"];
    const fitted = (whats: readonly (readonly [ReadQuantity, string])[]) => {
      const plan = hinges.flatMap((trial) => whats.map(([what, of]) => reading(what, of, trial)));
      const fit = fitSources(job, simulateTrials(job, plan, { truth, seed: 5 }));
      return [mitre!, seat!].map((i) => fit.sources[i]!);
    };
    const byLength = fitted([["length", "hinge-1"]]);
    const byShoulders = fitted([
      ["length", "hinge-1"],
      ["shoulder", "hinge-1.left"],
      ["shoulder", "hinge-1.right"],
    ]);
    // The prior is 0.15 mm; a length leaves most of it, shoulders leave the instrument and the scatter.
    for (const { standardUncertainty } of byLength) expect(standardUncertainty).toBeGreaterThan(0.08);
    for (const { standardUncertainty } of byShoulders) expect(standardUncertainty).toBeLessThan(0.04);
    const [a, b] = byShoulders;
    expect(Math.abs(a!.estimate - 0.12)).toBeLessThan(3 * a!.standardUncertainty);
    expect(Math.abs(b!.estimate + 0.08)).toBeLessThan(3 * b!.standardUncertainty);
  });
});

describe("the angle of a ramp, read on the jig", () => {
  const sources = jobSources(job);
  const ramp = indexOfSource(sources, { kind: "ramp", of: "bevel-22" });
  const truth = new Float64Array(sources.length).with(ramp, 0.4 * DEGREE);

  it("has the label's angle and the ramp's error, and no scatter from cut to cut", () => {
    const even: Job = {
      ...job,
      instruments: [{ ...BOX, resolution: 1e-9, repeatability: 0 }],
      betweenCutSd: { ...job.betweenCutSd, angle: 1 * DEGREE },
    };
    const seen = simulateTrials(even, [reading("ramp", "bevel-22"), reading("ramp", "point-45", "2")], {
      truth,
      seed: 3,
    });
    expect(seen[0]!.value! / DEGREE).toBeCloseTo(22.9, 5);
    expect(seen[1]!.value! / DEGREE).toBeCloseTo(45, 5);
  });

  it("leaves the uncertainty that the prior and the box leave: 1/u² = 1/prior² + n/τ²", () => {
    const plan = ["1", "2", "3"].map((trial) => reading("ramp", "bevel-22", trial));
    const readings = simulateTrials(job, plan, { truth, seed: 8 });
    const found = fitSources(job, readings).sources[ramp]!;
    const tau = Math.hypot(0.05, 0.1 / Math.sqrt(12));
    const u = 1 / Math.sqrt(1 / 0.5 ** 2 + 3 / tau ** 2);
    expect(found.standardUncertainty / DEGREE / u).toBeCloseTo(1, 1);
    const mean = readings.reduce((sum, { value }) => sum + value! / DEGREE, 0) / 3 - 22.5;
    const expected = (mean * 3) / tau ** 2 / (1 / u ** 2);
    expect(Math.abs(found.estimate / DEGREE - expected)).toBeLessThan(0.02);
  });

  it("tells nothing of the other jigs", () => {
    const readings = simulateTrials(job, [reading("ramp", "bevel-22")], { truth, seed: 8 });
    const fit = fitSources(job, readings);
    for (const [i, { estimate, standardUncertainty, priorSd }] of fit.sources.entries()) {
      if (i === ramp) continue;
      expect(estimate).toBeCloseTo(0, 12);
      expect(standardUncertainty / priorSd).toBeCloseTo(1, 6);
    }
  });

  it("follows a shim put in before its round", () => {
    const moved: Job = {
      ...job,
      rounds: [
        {
          name: "second",
          moves: [{ source: { kind: "ramp", of: "bevel-22" }, by: -0.3 * DEGREE, priorSd: 0 }],
        },
      ],
    };
    const plan = [reading("ramp", "bevel-22"), { ...reading("ramp", "bevel-22", "2"), round: "second" }];
    const still: Job = { ...moved, instruments: [{ ...BOX, resolution: 1e-9, repeatability: 0 }] };
    const [before, after] = simulateTrials(still, plan, {
      truth: new Float64Array(jobSources(still).length),
      seed: 1,
    });
    expect((after!.value! - before!.value!) / DEGREE).toBeCloseTo(-0.3, 5);
  });
});
