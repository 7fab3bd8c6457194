import { describe, expect, it } from "vitest";
import { DEGREE } from "../../../src/core/geometry.js";
import { planTrials } from "../../../src/inference/design/plan-trials.js";
import { stationsOf } from "../../../src/inference/design/station.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Instrument } from "../../../src/model/readings.js";
import { demoJob } from "../demo.js";

const BOX: Instrument = {
  name: "angle-box",
  reads: ["ramp"],
  reach: [],
  resolution: 0.05 * DEGREE,
  repeatability: 0.02 * DEGREE,
  bias: 0,
  biasPriorSd: 0,
  leaves: [],
};
const SCALE: Instrument = {
  name: "scale",
  reads: ["shoulder"],
  reach: [],
  resolution: 0.01,
  repeatability: 0.005,
  bias: 0,
  biasPriorSd: 0,
  leaves: [],
};
const withBoth: Job = { ...demoJob, instruments: [BOX, SCALE] };

describe("the stations of a job", () => {
  const stations = stationsOf(withBoth, withBoth.trialCosts);

  it("offer each jig's ramp, for which no piece is cut", () => {
    const jigs = stations.filter(({ sample }) => sample.kind === "jig");
    expect(jigs.flatMap(({ readings }) => readings.map(({ subject }) => subject))).toEqual([
      "point-45",
      "point-67",
      "bevel-22",
    ]);
    for (const { pieces, readings } of jigs) {
      expect(pieces).toBe(0);
      expect(readings).toMatchObject([{ what: "ramp", bench: "none", setUp: null }]);
    }
  });

  it("offer both sides of a whole piece of each kind, and of every piece of a cell; of a stub none", () => {
    const shoulders = (kind: string): number[] =>
      stations
        .filter(({ sample }) => sample.kind === kind)
        .map(({ readings }) => readings.filter(({ what }) => what === "shoulder").length)
        .filter((count) => count > 0);
    expect(shoulders("piece")).toEqual([2, 2, 2]);
    expect(shoulders("cell")).toEqual([14]);
    expect(shoulders("set-up")).toEqual([]);
  });

  it("of a shop without them are as before", () => {
    const whats = stationsOf(demoJob, demoJob.trialCosts).flatMap(({ readings }) =>
      readings.map(({ what }) => what),
    );
    expect(new Set(whats)).toEqual(new Set(["angle", "length", "thickness", "gap"]));
  });
});

describe("a plan of a shop with an angle box and a scale for shoulders", () => {
  it("takes both", () => {
    const plan = planTrials(withBoth, [], { trials: 5, scenarios: 6 });
    const whats = plan.trials.flatMap(({ option }) => option.readings.map(({ what }) => what));
    expect(whats).toContain("ramp");
    expect(whats).toContain("shoulder");
  });
});
